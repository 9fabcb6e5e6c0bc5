"""Plans looked at while they are typed, in processes of their own."""
