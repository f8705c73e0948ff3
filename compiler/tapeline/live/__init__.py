"""A style and a body drafted again and again while measures, choices and text change."""
