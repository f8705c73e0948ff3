"""Laws of rings of edges: what each operation keeps, over generated rings, corners and darts."""

from hypothesis import assume, given
from hypothesis import strategies as st

from tapeline.meaning.ring import Added, EdgeRing, Portion, RingEdge, RingStop, ring_of


@st.composite
def rings(draw, prefix="e", least=2):
    """A few edges, with none, one or two names for each corner, and darts here and there."""
    names = [f"{prefix}{k}" for k in range(draw(st.integers(least, 7)))]
    corners = {
        f"{prefix.upper()}{k}{'ab'[n]}": name for k, name in enumerate(names) for n in range(draw(st.sampled_from([1, 1, 1, 0, 2])))
    }
    darts = {f"{prefix}_dart{k}": name for k, name in enumerate(names) if draw(st.booleans())}
    shuffled = draw(st.permutations(list(corners)))
    return ring_of([(name, draw(st.booleans())) for name in names], {name: corners[name] for name in shuffled}, darts)


def some_edge(ring):
    return st.sampled_from(ring.names)


def sides(ring, corner):
    """The two edges that meet in a corner."""
    return {ring.before(ring.corners[corner]), ring.corners[corner]}


def hold_sound(ring):
    assert len(set(ring.names)) == len(ring.names)
    assert set(ring.corners.values()) <= set(ring.names)
    assert set(ring.darts.values()) <= set(ring.names)
    assert all(edge.made_of for edge in ring.edges)
    assert all(edge.made_of == (Portion(edge.name),) for edge in ring.settled().edges)


@given(rings(), st.data())
def test_a_ring_may_be_told_from_any_edge(ring, data):
    hold_sound(ring)
    first = data.draw(some_edge(ring))
    told = ring.begun_at(first)
    assert told.names[0] == first and told.begun_at(ring.names[0]) == ring
    for name in ring.names:
        assert (told.before(name), told.after(name)) == (ring.before(name), ring.after(name))
        assert ring.before(ring.after(name)) == ring.after(ring.before(name)) == name
        assert told.ends_at(name) == ring.ends_at(name)
        assert told.beyond(name) == ring.beyond(name) and (ring.edge(name), *ring.beyond(name)) == ring.begun_at(name).edges


@given(rings(least=3), st.data())
def test_two_runs_make_up_the_ring(ring, data):
    one, other = data.draw(some_edge(ring)), data.draw(some_edge(ring))
    assume(ring.after(other) != one)
    assert (*ring.run(one, other), *ring.run(ring.after(other), ring.before(one))) == ring.begun_at(one).edges


@given(rings(), st.data())
def test_a_corner_is_on_one_side_of_a_slash(ring, data):
    one, other, stays = (data.draw(some_edge(ring)) for _ in range(3))
    onward = ring.clear_onward(one, other, stays)
    if one == other:
        assert onward is None
        return
    assert onward is not ring.clear_onward(other, one, stays)
    told = ring.begun_at(one).names  # by counting: the corner of `stays` is passed on the way if it comes no later than `other`
    assert onward == (not 0 < told.index(stays) <= told.index(other))


@given(rings())
def test_a_ring_turned_round(ring):
    back = ring.reversed()
    hold_sound(back)
    assert back.reversed() == ring and back.names[0] == ring.names[0]
    for name in ring.names:
        assert back.after(name) == ring.before(name) and back.edge(name).turned != ring.edge(name).turned
    for corner in ring.corners:
        assert sides(back, corner) == sides(ring, corner)
    assert back.darts == ring.darts
    over = ring.turned_over()
    assert over.settled() == back.settled()
    assert all(one.of == "image" for edge in over.edges for one in edge.made_of)


@given(rings(), st.data())
def test_an_edge_replaced(ring, data):
    name = data.draw(some_edge(ring))
    assert ring.replaced(name, ring.edge(name)) == ring
    made = (RingEdge.whole("new1"), RingEdge.whole("new2"))
    other = ring.replaced(name, *made)
    hold_sound(other)
    assert other.begun_at("new1").edges == (*made, *ring.beyond(name))
    assert set(other.darts) == {dart for dart, edge in ring.darts.items() if edge != name}
    same_name = ring.replaced(name, RingEdge(name, made_of=(Added("outer"),)))
    assert same_name.corners == ring.corners and set(same_name.darts) == set(other.darts)
    parts = (Portion(name, until=0), Added("gap"), Portion(name, since=0))
    remade = ring.remade(name, *parts)
    assert remade.edge(name).made_of == parts and remade.settled() == ring and remade.added("gap") == Added("gap")
    assert ring.added("gap") is None


@given(rings(), st.data())
def test_a_ring_opened_out(ring, data):
    fold = data.draw(some_edge(ring))
    whole = ring.opened_out(fold, "other_")
    hold_sound(whole)
    half = [edge.name for edge in ring.beyond(fold)]
    assert list(whole.names) == [*half, *(f"other_{name}" for name in half[::-1])]
    for corner in ring.corners:
        meeting = sides(ring, corner)
        if fold in meeting and len(ring.names) > 2:
            (name,) = meeting - {fold}
            assert sides(whole, corner) == {name, f"other_{name}"} and f"other_{corner}" not in whole.corners
        elif fold not in meeting:
            assert sides(whole, corner) == meeting
            assert sides(whole, f"other_{corner}") == {f"other_{name}" for name in meeting}
    for dart, edge in ring.darts.items():
        assert (dart in whole.darts) == (f"other_{dart}" in whole.darts) == (edge != fold)
    for name in half:
        assert whole.edge(f"other_{name}").turned != whole.edge(name).turned


@st.composite
def cuts(draw):
    """A ring, and two stops of a cut on it: at corners, or within edges."""
    ring = draw(rings(least=3))
    stops = []
    for number in (0, 1):
        edge = draw(some_edge(ring))
        parted = draw(st.booleans())
        stops.append(RingStop(number, edge, edge if parted else ring.before(edge), parted))
    assume(stops[0].begins != stops[1].begins)
    return ring, stops


@given(cuts())
def test_the_parts_of_a_cut_hold_everything_once(case):
    ring, (start, end) = case
    parts = ring.part(start, end, "seam", True), ring.part(end, start, "seam", False)
    portions = [one for part in parts for edge in part.edges for one in edge.made_of if isinstance(one, Portion)]
    for part in parts:
        hold_sound(part)
        assert part.edge("seam").made_of == (Added("way"),)
        assert part.names[0] == min(set(part.names) - {"seam"}, key=ring.names.index)
        order = [edge.name for edge in part.beyond("seam")]
        assert order == [edge.name for edge in ring.run(order[0], order[-1])]
        for corner in set(part.corners) & set(ring.corners):
            assert sides(part, corner) & sides(ring, corner)
    for name in ring.names:
        mine = {(one.since, one.until) for one in portions if one.edge == name}
        stops = [stop for stop in (start, end) if stop.parted and stop.begins == name]
        if not stops:
            assert mine == {(None, None)}
        elif len(stops) == 1:
            assert mine == {(None, stops[0].number), (stops[0].number, None)}
    assert sum(one.since is None for one in portions) == sum(one.until is None for one in portions) == len(ring.names)
    for corner in ring.corners:
        assert any(corner in part.corners for part in parts)


@given(cuts())
def test_joined_again_along_its_seam_a_ring_is_what_it_was(case):
    ring, (start, end) = case
    one, other = ring.part(start, end, "seam", True), ring.part(end, start, "seam", False)
    assume(len(one.names) > 2 and len(other.names) > 2)
    whole = one.joined("seam", other, "seam", {})
    hold_sound(whole)
    assert whole.begun_at(ring.names[0]).names == ring.names
    assert {corner: edge for corner, edge in whole.corners.items() if corner in ring.corners} == ring.corners
    assert whole.darts == ring.darts
    assert [whole.edge(name).turned for name in ring.names] == [edge.turned for edge in ring.edges]
    for stop in (start, end):
        assert len(whole.edge(stop.begins).made_of) == 1 + stop.parted


@given(rings("a", 3), rings("b", 3), st.data())
def test_two_rings_joined(ring, other, data):
    name, to = data.draw(some_edge(ring)), data.draw(some_edge(other))
    # The other ring may have edges of this one's names, which are renamed.
    shared = data.draw(st.lists(st.sampled_from(other.names), unique=True, max_size=2))
    names = dict(zip(shared, data.draw(st.permutations(ring.names)), strict=False))
    other = EdgeRing(
        tuple(RingEdge.whole(names.get(edge.name, edge.name), edge.turned) for edge in other.edges),
        {corner: names.get(edge, edge) for corner, edge in other.corners.items()},
        {dart: names.get(edge, edge) for dart, edge in other.darts.items()},
    )
    to = names.get(to, to)
    called = {edge: f"new_{edge}" for edge in other.names if edge in ring.names}
    whole = ring.joined(name, other, to, called)
    hold_sound(whole)
    kept, added = ([edge.name for edge in one.beyond(at)] for one, at in ((ring, name), (other, to)))
    assert list(whole.names) == [*kept, *(called.get(edge, edge) for edge in added)]
    for corner in ring.corners:
        away = sides(ring, corner) - {name}
        assert away <= sides(whole, corner)
    for corner in other.corners:
        if to not in sides(other, corner):
            assert sides(whole, corner) == {called.get(edge, edge) for edge in sides(other, corner)}
    gone = {dart for one, at in ((ring, name), (other, to)) for dart, edge in one.darts.items() if edge == at}
    assert set(whole.darts) == {*ring.darts, *other.darts} - gone
