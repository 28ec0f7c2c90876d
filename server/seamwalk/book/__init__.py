"""The book: signed entries, their Merkle tree, who may write what, and how an export is verified. Pure."""
