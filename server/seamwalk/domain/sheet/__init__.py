"""The figures of a wall: the build sheet and all that it is worked out from."""
