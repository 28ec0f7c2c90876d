"""Books as they are kept: entries, blobs, keys, and what proves that they are whole."""
