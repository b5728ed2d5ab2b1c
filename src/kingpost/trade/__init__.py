"""What the trade knows: components, conditions, provisions and sources, as data files and typed loaders."""
