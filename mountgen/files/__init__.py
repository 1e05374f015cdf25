"""Files that a person wrote: from bytes to text, TOML and tables, every fault with its line and column."""
