"""The quilt round its blocks: sizes, places, strips and lengths of cloth."""
