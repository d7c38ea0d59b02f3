"""What guidelines, consensus papers, studies, registries and the site ask of each figure, and the judge."""

from debrief.targets.edition import Edition, editions, load
from debrief.targets.judge import decided, is_ruled_out, judge, verdict_of
from debrief.targets.row import TargetRow

__all__ = ["Edition", "TargetRow", "decided", "editions", "is_ruled_out", "judge", "load", "verdict_of"]
