from .faces import hide_faces, hide_heads
from .stills import draw_stills

__all__ = ["draw_stills", "hide_faces", "hide_heads"]
