"""A printed cutting list from elsewhere: read, and compared with a plan."""
