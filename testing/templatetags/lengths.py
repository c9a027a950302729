"""Lengths as people read them: in their own units."""

from django import template

from testing.access.lengths import (
    deviation_in,
    length_in,
    off_in,
    off_number,
    typed_length,
    units_in_words,
)

register = template.Library()


register.filter(deviation_in)
register.filter(length_in)
register.filter(off_in)
register.filter(off_number)
register.filter(typed_length)
register.filter(units_in_words)
