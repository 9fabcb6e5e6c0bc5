"""What each action does to cloth, exactly; knows nothing of how units are made."""
