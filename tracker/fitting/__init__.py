"""What measured seams and blocks say."""
