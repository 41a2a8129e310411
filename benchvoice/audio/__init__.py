"""Sound in: files and microphone as blocks, level and noise, denoising, end-pointing."""
