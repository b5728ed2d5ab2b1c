"""One record becomes record.json, HTML and PDF."""
