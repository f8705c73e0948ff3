"""Pictures of what other commands found: two drafts laid over each other, and shares of bodies."""
