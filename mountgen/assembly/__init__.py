"""The order in which a mount is put together, with the proof that every part and every key gets there."""
