"""Plans looked at while they are typed or drawn, in processes of their own."""
