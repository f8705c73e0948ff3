"""The one layout of a text, and the proof that laying out changes nothing."""
