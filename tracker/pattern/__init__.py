"""Pattern sheets: what one block and the quilt round it take and how they are sewn, for paper and for one screen."""
