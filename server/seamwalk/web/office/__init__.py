"""The office's pages: server-rendered, working without scripts."""
