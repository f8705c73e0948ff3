"""The commands of the program, a module each, loaded when it is called; `desk/cli.py` names them."""
