"""Times and counts, said shortly. No source: our layout."""


def span(seconds: int) -> str:
    """Write a time in minutes and seconds, and hours where there are any.

    >>> span(7), span(754), span(3_600)
    ('0:07', '12:34', '1:00:00')
    """
    minutes, second = divmod(seconds, 60)
    hour, minute = divmod(minutes, 60)
    return f"{hour}:{minute:02}:{second:02}" if hour else f"{minute}:{second:02}"


def short(number: float) -> str:
    """Write a count with three digits and a prefix.

    >>> short(7), short(999), short(295_500), short(999_900), short(1_633_608_228)
    ('7', '999', '296k', '1M', '1.63G')
    """
    prefix = ""
    for larger in "kMGT":
        if number < 999.5:
            break
        number, prefix = number / 1000.0, larger
    return f"{number:.3g}{prefix}"
