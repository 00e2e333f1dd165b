"""Doubtful marks before a person: one after another, each decision recorded at once."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from halfpoint.cli._asking import kept, print_raw, typed
from halfpoint.cli._record import counted

if TYPE_CHECKING:
    from rich.console import Console

    from halfpoint.cli._answers import Answer, Value
    from halfpoint.cli._crops import Crops
    from halfpoint.collect.paper.print.layout import Block, Rectangle
    from halfpoint.collect.table.poured import Poured
    from halfpoint.ledger.ledger import Ledger
    from halfpoint.ledger.paper import Asked
    from halfpoint.ledger.replay import State
    from halfpoint.ledger.review import Waiting
    from halfpoint.tasting.model import Tasting

KEYS = "s skip · b back · w whole glass · q quit"


def list_doubtful(tasting: Tasting, console: Console) -> None:
    """Print what waits: page, seat, code, line, why, what it may be."""
    from halfpoint.cli._other_pictures import say_pair
    from halfpoint.cli._reading import record_with_plan
    from halfpoint.ledger.another_picture import other_pictures
    from halfpoint.ledger.replay import replay
    from halfpoint.ledger.review import waiting

    with record_with_plan(tasting, "organiser") as (ledger, _):
        state = replay(ledger.records())
    found = waiting(state)
    for each in found:
        console.print(f"{each.file}, page {each.in_file}: {where(tasting, each)}")
        console.print(f"  {question(tasting, each)}{_may_be(each)}")
    others = other_pictures(state)
    for pair in others:
        console.print(say_pair(tasting, pair))
    console.print(f"{counted(len(found), 'mark needs', 'marks need')} a look.")
    if found or others:
        console.print(f"Decide them with: halfpoint read {tasting.source} --review")


def review_doubtful(tasting: Tasting, console: Console, *, show: str | None, who: str) -> None:
    """Ask about everything that waits. What is decided is in the record at once.

    Raises:
        UsageError: no plan, or no name.
        LedgerError, OutputError: decisions before this one are recorded.
    """
    from halfpoint.cli._crops import Crops
    from halfpoint.cli._planned import plan_for_tables
    from halfpoint.cli._reading import no_plan, record_with_plan
    from halfpoint.ledger.replay import replay

    with record_with_plan(tasting, who) as (ledger, _), Crops(show) as crops:
        state = replay(ledger.records())
        poured = plan_for_tables(tasting, state)
        if poured is None:
            raise no_plan(tasting)
        session = _Session(tasting, ledger, state, poured, who, console, crops)
        # Whoever interrupts has had enough; what was decided is recorded.
        with suppress(KeyboardInterrupt):
            session.decide_all()
        session.tell()


@dataclass(slots=True)
class _Session:
    tasting: Tasting
    ledger: Ledger
    state: State
    poured: Poured
    who: str
    console: Console
    crops: Crops
    decided: int = 0
    entries: int = 0
    chosen: int = 0
    skipped: set[Asked] = field(default_factory=set)

    def decide_all(self) -> None:
        """Ask about one thing after another; `b` goes back to the one before."""
        from halfpoint.ledger.review import waiting

        asked = [each.asked for each in waiting(self.state)]
        at, step = 0, 1
        while at < len(asked):
            if step > 0 and asked[at] not in {each.asked for each in self._of_page(asked[at])}:
                # Settled meanwhile by what was decided beside it.
                at += 1
                continue
            word = self._ask(asked[at], f"{at + 1:,} of {len(asked):,}")
            if word == 'quit':
                return
            step = -1 if word == 'back' else 1
            at = max(at + step, 0)
        self._choose_pictures()

    def _of_page(self, asked: Asked) -> list[Waiting]:
        from halfpoint.ledger.review import asked_about

        page = self.state.papers.pages[asked.page]
        return [
            asked_about(self.state, type(asked)(asked.page, place, look.field, look.about))
            for place, look in page.open_looks()
        ]

    def _ask(self, asked: Asked, count: str) -> str:
        """Ask about one thing until it is decided, or something else is wished; say which."""
        from halfpoint.cli._answers import Unclear, Wish
        from halfpoint.ledger.review import asked_about

        this = asked_about(self.state, asked)
        self._show(this, count, this.look.area)
        while True:
            answer = self._answer(this)
            if isinstance(answer, Unclear):
                self.console.print(f"Expected: {answer.expected}")
            elif not isinstance(answer, Wish):
                if self._decide(this, answer.value):
                    self.skipped.discard(asked)
                    return 'decided'
            elif answer.word == 'whole':
                self._show(this, count, self._whole(this))
            else:
                if answer.word == 'skip':
                    self.skipped.add(asked)
                return answer.word

    def _answer(self, this: Waiting) -> Answer:
        from halfpoint.cli._answers import Wish, understand

        line = typed(self.console)
        if line is None:
            return Wish('quit')
        return understand(
            line, field=this.look.field, choices=choices(this), sheet=self.tasting.sheet
        )

    def _show(self, this: Waiting, count: str, area: Rectangle | None) -> None:
        self.console.print(f"\n{count}  {where(self.tasting, this)}")
        self.console.print(question(self.tasting, this))
        picture = kept(self.tasting, this.picture)
        if picture is None:
            self.console.print(f"The picture is gone; look at {this.file}, page {this.in_file}.")
        else:
            print_raw(self.crops.show(picture, area, marks=self._marks(this)))
        self.console.print(_offer(this))

    def _marks(self, this: Waiting) -> list[tuple[float, str]]:
        """Where the circles of the line stand, and what is printed in them."""
        if this.look.field not in self.tasting.sheet.categories_by_key:
            return []
        rows = {row.category: row for row in self._block(this).rows}
        return [(circle.centre.x, circle.text) for circle in rows[this.look.field].bubbles]

    def _block(self, this: Waiting) -> Block:
        from halfpoint.collect.paper.print import lay_out

        return lay_out(self.tasting.sheet, this.wines_a_page).blocks[this.place - 1]

    def _whole(self, this: Waiting) -> Rectangle | None:
        return self._block(this).area if this.place else None

    def _decide(self, this: Waiting, value: Value) -> bool:
        from halfpoint.errors import NotInLedger, UsageError
        from halfpoint.ledger.review import decide

        try:
            came = decide(
                self.ledger,
                self.tasting,
                self.poured,
                this,
                value,
                who=self.who,
                state=self.state,
            )
        except (NotInLedger, UsageError) as refusal:
            self.console.print(f"{refusal}")
            self._read_anew()
            return False
        self.decided += 1
        self.entries += len(came.entries)
        for row in came.held:
            self.console.print(f"Held: {row.field}: {row.found}; expected {row.expected}")
        return True

    def _read_anew(self) -> None:
        from halfpoint.ledger.replay import replay

        self.state = replay(self.ledger.records())

    def _choose_pictures(self) -> None:
        from halfpoint.cli._other_pictures import Choosing, choose_pictures

        choosing = Choosing(
            self.tasting, self.ledger, self.poured, self.who, self.console, self.crops
        )
        self.chosen = choose_pictures(choosing, self.state)

    def tell(self) -> None:
        """Say what was decided and what still waits."""
        from halfpoint.ledger.review import waiting

        left = len(waiting(self.state))
        entries = counted(self.entries, "new entry", "new entries")
        self.console.print(f"\n{self.decided:,} decided, {entries} in the record.")
        if left:
            needs = counted(left, "mark still needs", "marks still need")
            self.console.print(f"{needs} a look; the same command goes on.")
        else:
            self.console.print("No mark needs a look.")


def where(tasting: Tasting, this: Waiting) -> str:
    """`Aldermire, seat 4, sheet 1, glass 2, code 215`."""
    from halfpoint.ledger.look_words import say_place

    return say_place(tasting, this)


def question(tasting: Tasting, this: Waiting) -> str:
    """What it is about and why it is asked: `Aroma: more than one circle is marked`."""
    from halfpoint.ledger.look_words import say_question

    return say_question(tasting, this)


def choices(this: Waiting) -> tuple[float | str, ...]:
    """What Enter and the other choices stand for: what was said before comes first."""
    from halfpoint.ledger.look_words import choices_of

    return choices_of(this)


def _offer(this: Waiting) -> str:
    from halfpoint.cli._answers import BOXES, say_choice

    first, *others = [say_choice(each, this.look.field) for each in choices(this)] or [""]
    said = [f"Enter {first}"] if first else []
    if this.look.field in BOXES:
        said.append("y ticked · n not ticked")
    else:
        said += [f"or {other}" for other in others]
        said.append("- nothing")
    return f"{' · '.join(said)} · {KEYS}"


def _may_be(this: Waiting) -> str:
    from halfpoint.cli._answers import say_choice

    said = [say_choice(each, this.look.field) for each in this.look.choices]
    return f" ({' or '.join(said)}?)" if said else ""
