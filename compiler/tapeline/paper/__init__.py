"""Every paper that is made from a draft, in rooms: see "Papers and houses" in DEVELOPERS.md."""
