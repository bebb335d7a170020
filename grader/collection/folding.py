"""Text as it is compared in a search: without case, accents and width, in any script."""

import unicodedata

# Letters with a stroke or joined ones, which Unicode does not take apart.
_PLAIN = str.maketrans(
    {'ø': 'o', 'ł': 'l', 'đ': 'd', 'ħ': 'h', 'ŧ': 't', 'ı': 'i', 'æ': 'ae', 'œ': 'oe', 'þ': 'th', 'ð': 'd'}
)


def fold(text: str) -> str:
    """Text without case and accents: "Müller" and "MULLER" become the same."""
    taken_apart = unicodedata.normalize('NFKD', text.casefold())
    plain = ''.join(sign for sign in taken_apart if not unicodedata.combining(sign))
    return plain.casefold().translate(_PLAIN)


def natural_key(text: str) -> str:
    """Key that sorts "9" before "10"."""
    parts, number = [], ''
    for sign in fold(text) + '\0':
        if sign.isdigit():
            number += sign
            continue
        if number:
            parts.append(number.rjust(12, '0'))
            number = ''
        parts.append(sign)
    return ''.join(parts[:-1])
