#!/bin/sh
# Puts a trained ear (training/ear.py OUT) into the package.
set -eu
cat "$1"/ear.onnx.* > src/kingpost/listen/ear.onnx
cp "$1"/ear.json "$1"/prototypes.npz src/kingpost/listen/
