"""Short messages as HTML: paragraphs, nothing else."""

from collections.abc import Sequence
from html import escape


def plain_html(title: str, blocks: Sequence[str]) -> str:
    """The blocks as paragraphs; their line breaks and the spaces before a line stay."""
    paragraphs = "".join(f'<p style="white-space:pre-wrap">{escape(one)}</p>' for one in blocks)
    return (
        f'<!DOCTYPE html><html lang="en"><head><meta charset="utf-8"><title>{escape(title)}</title>'
        f'</head><body style="font-family:sans-serif;max-width:600px">{paragraphs}</body></html>\n'
    )
