"""Texts made of others by cutting, doubling, swapping, indenting and patching, as slips of the hand make them."""

import random

PATCHES = ["", " ", "\n", "    ", "\t", "(", ")", '"', ",", "x", "9", "½", ".", "=", "--", "\r", "\ufeff", "\u2028", "when", "piece"]


def mutated(text: str, dice: random.Random) -> str:
    lines = text.split("\n")
    if dice.random() < 0.5:
        first = dice.randrange(len(lines))
        lines = ["language 1", 'style s "S"'] * (dice.random() < 0.7) + lines[first : first + dice.randrange(1, 25)]
    for _ in range(dice.randrange(3)):
        one, other = dice.randrange(len(lines)), dice.randrange(len(lines))
        how = dice.randrange(5)
        if how == 0 and len(lines) > 1:
            del lines[one]
        elif how == 1:
            lines.insert(other, lines[one])
        elif how == 2:
            lines[one], lines[other] = lines[other], lines[one]
        else:
            lines[one] = "    " + lines[one] if how == 3 else lines[one][4:]
    text = "\n".join(lines)
    for _ in range(dice.randrange(3)):
        at = dice.randrange(len(text) + 1)
        text = text[:at] + dice.choice(PATCHES) + text[at + dice.randrange(12) :]
    return text
