"""Searches a close-up for the pixels of its marks: broad ones, thin lines, and compact spots."""

from grader.marks.close_up_ground import Ground
from grader.marks.close_up_join import join_pieces
from grader.marks.close_up_lines import find_segments, line_evidence
from grader.marks.close_up_patches import find_patches, find_spots
from grader.marks.close_up_piece import Piece
from grader.marks.close_up_settle import cover_of, settle
from grader.marks.close_up_traces import trace_lines
from grader.marks.close_up_trim import trimmed

_HALO_PX = 2  # Source: reach of the spots' blur beyond a mark that is already told


def find_pieces(ground: Ground) -> list[Piece]:
    """Pixels of each possible mark.

    1. Broad marks are cut out at levels that suit their own strength.
    2. Thin lines are found by oriented filters of both signs in units of their own local spread, traced along
       their ridges and joined over gaps.
    3. What is told twice is settled, and compact spots are looked for in what is left.
    4. Outlines are drawn in to what stands out by each mark's own measure.
    """
    shape = ground.residual_code.shape
    patches = find_patches(ground)
    evidence = line_evidence(ground, patches)
    lines = trace_lines(find_segments(evidence, ground), evidence, ground)
    pieces = settle(patches, lines, shape)
    pieces += find_spots(ground, cover_of(pieces, shape, _HALO_PX))
    return [trimmed(piece, ground) for piece in join_pieces(pieces)]
