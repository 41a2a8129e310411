"""Sound sources, blocks, end-pointing, the recorder and playback. Recognises nothing."""
