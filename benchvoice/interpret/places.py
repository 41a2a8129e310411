"""Which part a noun phrase means, and where on it: short words, lists, pointers, what carries over."""

from __future__ import annotations

from dataclasses import dataclass, replace

from benchvoice.domain.engine import Engine
from benchvoice.domain.findings import Place
from benchvoice.interpret.focus import Context, Focus
from benchvoice.interpret.nouns import FLUIDS, Noun, PartWord, settled
from benchvoice.lexicon import Lexicon
from benchvoice.lexicon.entries import Part

OPPOSITE = {
    "left": "right", "right": "left", "front": "rear", "rear": "front", "intake": "exhaust", "exhaust": "intake",
    "thrust": "minor", "minor": "thrust", "upper": "lower", "lower": "upper",
}  # fmt: skip
OTHER = ("bank", "valve", "shell", "side", "end")
"""Keys with two values, in the order in which "the other one" means them."""
PAIRED = frozenset({"valve", "shell", "side"})
"""Keys whose other value is at the same number: the other shell of number three."""
FREE_KEYS = ("bank", "end")
"""Place words that can be said of any part."""
NEARBY = 3
"""So many utterances later "the bolts" are still those of the cap that was spoken of."""
STAYING = ("cylinder", "journal", "bank", "valve", "side", "shell")
"""What carries over to words that name no part. A level or an end never does."""


@dataclass(frozen=True, slots=True)
class Located:
    """A noun phrase understood: one part and the places on it, none where only the engine could tell which is meant.
    named: the part was spoken, not carried over.
    """

    part: str
    places: tuple[Place, ...]
    named: bool
    group: bool = False
    carried: tuple[str, ...] = ()
    """Fields that came from the focus."""
    source: Focus | None = None
    numbers: tuple[int, ...] = ()


class Locator:
    """Finds parts and places of noun phrases in one utterance. Pure apart from its own small state."""

    def __init__(self, lexicon: Lexicon, engine: Engine | None, context: Context, n: int) -> None:
        self.lexicon = lexicon
        self.engine = engine
        self.context = context
        self.n = n

    @property
    def focus(self) -> Focus | None:
        return self.context.near(self.context.focus, self.n)

    # the part ----------------------------------------------------------------------------------------------------

    def part_of(self, noun: Noun) -> tuple[str | None, bool]:
        """(part, named) of a noun phrase; (None, False) if nothing tells."""
        noun = self._settled(noun)
        if noun.parts:
            chosen = self._meant(noun.parts[-1], noun)
            if chosen is None and len(noun.parts) > 1 and noun.parts[-2].senses[0].value not in FLUIDS:
                chosen = self._meant(noun.parts[-2], noun)
            return chosen, chosen is not None
        if noun.counted == "cylinder" or (noun.group == "final" and self.focus is None):
            return self._counted_part(), True
        if "valve" in noun.places and not self._focus_takes("valve"):
            return "valve", True
        if noun.places.get("shell") and not self._focus_takes("shell"):
            return self._bearing_of_focus(), True
        return self._part_in_focus(noun), False

    def _settled(self, noun: Noun) -> Noun:
        """The noun phrase with "the intake" taken for a valve after the exhaust valve in the same breath."""
        focus = self.focus
        word = noun.parts[0] if len(noun.parts) == 1 else None
        if noun.pointer == "its" and (focus is None or focus.place.cylinder is None):
            noun = replace(noun, pointer=None)
        if word is None or word.valve is None or word.full or focus is None or focus.n != self.n:
            return settled(noun)
        if focus.place.valve in (None, word.valve):
            return settled(noun)
        valve = ("valve", word.start, word.end)
        return replace(noun, parts=(), places={"valve": word.valve, **noun.places}, spans=(*noun.spans, valve))

    def _counted_part(self) -> str:
        """ "cylinder three" is its bore."""
        return "cylinder_bore"

    def _focus_takes(self, key: str) -> bool:
        return self.focus is not None and key in self.lexicon.parts[self.focus.part].takes

    def _bearing_of_focus(self) -> str | None:
        focus = self.focus
        if focus is None:
            return None
        family = self.lexicon.parts[focus.part].family
        return "rod_bearing" if "rods" in family else "main_bearing" if "mains" in family else None

    def _part_in_focus(self, noun: Noun) -> str | None:
        focus = self.focus
        if focus is None:
            return None
        part = self.lexicon.parts[focus.part]
        if noun.numbers and part.number is None and part.per not in ("bank", "position"):
            numbered = self.context.near(self.context.numbered, self.n)
            return numbered.part if numbered is not None else None
        return focus.part

    def _meant(self, word: PartWord, noun: Noun) -> str | None:
        """The part that a word means here."""
        if word.full:
            return word.senses[0].value
        candidates = self._suiting(word, noun)
        beside = [
            self.lexicon.parts[other.senses[0].value]
            for other in (*noun.parts[:-1], *noun.owners)
            if other.full or len(other.senses) == 1
        ]
        beside += [
            self.lexicon.parts[sense.value]
            for other in (*noun.parts[:-1], *noun.owners)
            if not other.full
            for sense in other.senses
            if sense.form == "usually"
        ]
        for near in beside:
            kin = [name for name in candidates if self._kin(name, near)]
            if kin:
                return self._closest(kin, near)
        owner = noun.parts[-2] if len(noun.parts) > 1 and noun.parts[-1] is word else None
        fluid = owner is not None and owner.senses[0].value in FLUIDS
        if owner is not None and owner.full and owner.end == word.start and not fluid:
            return owner.senses[0].value
        outside = next((other for other in noun.owners if other.full), None)
        if outside is not None and not noun.numbers:
            return outside.senses[0].value
        if self.focus is not None:
            near = self.lexicon.parts[self.focus.part]
            kin = [name for name in candidates if self._kin(name, near)]
            if kin:
                return self._closest(kin, near, tuple(sense.value for sense in word.senses if sense.form == "usually"))
        if noun.places.get("valve") and "valve_spring" in candidates:
            return "valve_spring"
        usual = [sense.value for sense in word.senses if sense.form == "usually"]
        return usual[0] if usual else None

    def _suiting(self, word: PartWord, noun: Noun) -> list[str]:
        """What a short word can mean; beside "exhaust" only what an exhaust valve has, if any."""
        found = list(dict.fromkeys(sense.value for sense in word.senses))
        usual = [sense.value for sense in word.senses if sense.form == "usually"]
        if noun.numbers and any(self.lexicon.parts[name].number for name in usual):
            # "plugs one and three" are those that have numbers
            found = [name for name in found if self.lexicon.parts[name].number]
        valved = "valve" in noun.places or any(other.valve for other in noun.parts if other is not word)
        having = [name for name in found if "valve" in self.lexicon.parts[name].takes]
        return having if valved and having else found

    def _kin(self, name: str, near: Part) -> bool:
        part = self.lexicon.parts[name]
        return part.name == near.name or bool(part.family & near.family) or part.within == near.name

    def _closest(self, names: list[str], near: Part, usual: tuple[str, ...] = ()) -> str:
        """The one most akin: itself, then the one that shares most families, then what the word usually means."""

        def akin(name: str) -> tuple[bool, int, bool]:
            return name == near.name, len(self.lexicon.parts[name].family & near.family), name in usual

        return max(names, key=akin)

    # the place ---------------------------------------------------------------------------------------------------

    def locate(self, noun: Noun, part: str, named: bool) -> Located:
        """The places of a noun phrase on a part."""
        noun = self._settled(noun)
        entry = self.lexicon.parts[part]
        spoken = self._spoken_keys(noun, entry)
        key = self._number_key(noun, entry)
        numbers = noun.numbers or self._middle(noun, entry) or self._of_engine(noun, entry)
        carried: tuple[str, ...] = ()
        focus = self.focus
        base = Place()
        if noun.pointer is not None:
            base, numbers, carried, spoken = self._pointed(noun, entry, spoken, numbers)
        elif not numbers and not noun.group:
            base, carried = self._carried(noun, entry, named, spoken)
        elif noun.group and not named and focus is not None and focus.n == self.n and focus.part == part:
            base = Place(bank=None if "bank" in spoken else focus.place.bank)
        elif numbers and not named and focus is not None and focus.part == part and "valve" in entry.takes:
            base, carried = Place(valve=focus.place.valve), ("valve",) if focus.place.valve else ()
        placed = replace(base, **spoken)  # type: ignore[arg-type]
        if numbers and key is not None:
            places = tuple(replace(placed, **{key: number}) for number in numbers)  # type: ignore[arg-type]
        else:
            unknown = noun.group == "final" or (noun.pointer == "mate" and focus is not None and noun.bare)
            places = () if unknown else (placed,)
        return Located(
            part=part,
            places=places,
            named=named,
            group=noun.group is not None,
            carried=(*(() if named else ("part",)), *carried),
            source=focus,
            numbers=numbers,
        )

    def _middle(self, noun: Noun, entry: Part) -> tuple[int, ...]:
        """ "The center main" of an engine whose mains are known and odd in number."""
        told = noun.places.get("level") == "middle" and noun.group is None
        if not told or entry.number != "journal" or self.engine is None:
            return ()
        mains = self.engine.main_count
        return ((mains + 1) // 2,) if mains % 2 else ()

    def _of_engine(self, noun: Noun, entry: Part) -> tuple[int, ...]:
        """ "Every odd one" and "the last cylinder", if the engine says how many there are."""
        if noun.group not in ("odd", "even", "final") or self.engine is None:
            return ()
        known = self.engine.journal_numbers if entry.number == "journal" else self.engine.cylinder_numbers
        if noun.group == "final":
            return known[-1:]
        if entry.number is None:
            return ()
        return tuple(number for number in known if number % 2 == (noun.group == "odd"))

    def _spoken_keys(self, noun: Noun, entry: Part) -> dict[str, str]:
        return {key: value for key, value in noun.places.items() if key in FREE_KEYS or key in entry.takes}

    def _number_key(self, noun: Noun, entry: Part) -> str | None:
        if noun.counted == "cylinder":
            return "cylinder"
        if entry.number is not None:
            return entry.number
        for owner in noun.owners:
            number = self.lexicon.parts[owner.senses[0].value].number
            if number is not None:
                return number
        return "cylinder"

    def _carried(self, noun: Noun, entry: Part, named: bool, spoken: dict[str, str]) -> tuple[Place, tuple[str, ...]]:
        focus = self.focus
        if focus is None:
            return Place(), ()
        other = self.lexicon.parts[focus.part]
        if not named:
            keys = [key for key in STAYING if getattr(focus.place, key) is not None]
            if "bank" in spoken or "end" in spoken:
                keys = []
            place = Place(**{key: getattr(focus.place, key) for key in keys})
            return place, tuple(keys)
        theirs = entry.several and bool(noun.parts) and not noun.parts[-1].full and self.n - focus.n <= NEARBY
        if (
            (noun.many and not theirs)
            or noun.many_features
            or entry.number is None
            or entry.per == "engine"
            or (not entry.related(other) and other.name != entry.within)
        ):
            return Place(), ()
        number = getattr(focus.place, entry.number)
        if number is None or spoken.get("bank") or spoken.get("end"):
            return Place(), ()
        found = replace(Place(), **{entry.number: number})
        if "valve" in entry.takes and focus.place.valve and "valve" not in spoken:
            found = replace(found, valve=focus.place.valve)
        return found, tuple(found.as_dict())

    def _pointed(
        self, noun: Noun, entry: Part, spoken: dict[str, str], numbers: tuple[int, ...]
    ) -> tuple[Place, tuple[int, ...], tuple[str, ...], dict[str, str]]:
        """ "that one", "the next one", "the other one", "its mate"."""
        focus = self.focus
        if focus is not None and noun.pointer == "side":
            key = next((key for key in OTHER if getattr(focus.place, key) is not None and key not in spoken), None)
            base = Place(**{key: getattr(focus.place, key)}) if key else Place()
            return base, numbers, tuple(base.as_dict()), spoken
        if focus is None or numbers:
            return Place(), numbers, (), spoken
        place = focus.place
        key = "journal" if place.journal is not None else "cylinder"
        number = focus.numbers[-1] if focus.numbers else getattr(place, key)
        if noun.pointer == "other":
            other = self._other(focus)
            pair = Place(cylinder=place.cylinder, journal=place.journal) if PAIRED & set(other) else Place()
            return pair, (), ("place",), {**spoken, **other}
        if noun.pointer in ("this", "its"):
            keep = self._this(focus, entry, noun, spoken)
            return keep, (), tuple(keep.as_dict()), spoken
        if number is None:
            return Place(), (), (), spoken
        if noun.pointer == "mate":
            known = self.engine is not None and key == "cylinder" and self.engine.has(cylinder=number)
            mates = self.engine.station_mates(number) if self.engine is not None and known else ()
            return Place(), mates, ("number",), spoken
        step = 1 if noun.pointer == "next" else -1
        valve = place.valve if "valve" in entry.takes else None
        return Place(valve=valve), (number + step,) if number + step > 0 else (), ("number",), spoken

    def _this(self, focus: Focus, entry: Part, noun: Noun, spoken: dict[str, str]) -> Place:
        """What "that one" keeps of the place spoken of: what this part can have and what isn't said anew."""
        if entry.number is None and not noun.bare:
            return Place()
        keep = {name: getattr(focus.place, name) for name in ("cylinder", "journal", "bank", "valve")}
        for name in ("cylinder", "journal"):
            if entry.number is not None and name != entry.number:
                keep[name] = None
        if "valve" not in entry.takes:
            keep["valve"] = None
        if entry.number is not None and keep[entry.number] is None and self.context.claims:
            keep[entry.number] = getattr(self.context.claims[-1].place, entry.number)
        return Place(**{name: value for name, value in keep.items() if name not in spoken})

    def _other(self, focus: Focus) -> dict[str, str]:
        """The other bank, valve, shell or end than the one spoken of."""
        for key in OTHER:
            value = getattr(focus.place, key)
            if value is not None:
                return {key: OPPOSITE[value]}
        return {}
