"""The edge: words in, words out, storage and clocks."""
