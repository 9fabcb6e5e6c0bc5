"""What a quilter wants made, and how it is read from text and written."""
