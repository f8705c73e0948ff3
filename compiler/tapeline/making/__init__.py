"""A style, bodies and a house put together: choices, cards, drafts, sizes, and all their papers."""
