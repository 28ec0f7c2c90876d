"""The phones' API, version 1. Every body carries `"seamwalk": 1`."""
