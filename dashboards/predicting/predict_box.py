"""The box in which the instructor opens a question to the room, sees how many have answered, and closes it."""

from __future__ import annotations

import datetime as dt
import socket
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from dashboards.predicting.kept import KeptPredictions
from dashboards.predicting.predicted_view import PREDICT, question_of
from dashboards.predicting.predictions import OPEN_FOR, Counted, Open, Predictions, Question
from dashboards.predicting.room_address import listen_socket, room_address
from dashboards.words import count, escape
from ingest.errors import RoomUnreachable, TautleafError

if TYPE_CHECKING:
    from dashboards.choices import Choices
    from dashboards.holdings import Holdings

TICK_MS = 1_000
NO_ROOM = (
    "Phones cannot join yet: this dashboard is open on this computer alone. Stop it and start it again with 'tautleaf serve --room find' "
    "to open this one question, and nothing else, to the room’s network."
)


@dataclass(frozen=True)
class PredictFirst:
    """What the instructor's pages share: the predictions, and the address that phones open with its socket; '' where no room is open."""

    predictions: Predictions
    address: str = ""
    listener: socket.socket | None = None

    @property
    def host(self) -> str:
        """Address and port, as a phone's browser names them."""
        return self.address.removeprefix("http://").rstrip("/")


def predict_first(path: Path, program: str, role: str, room: str, port: int) -> PredictFirst | None:
    """What a role's dashboard needs for *Predict first*: None but for instructors, and a socket where a room was asked for.

    Raises:
        RoomUnreachable: the room's address cannot be used, or the role opens no questions.
    """
    if role != "instructor":
        if room:
            raise RoomUnreachable(f"The {role}'s dashboard opens no question to a room. Leave out --room, or serve --role instructor.")
        return None
    predictions = Predictions(KeptPredictions(path, program))
    if not room:
        return PredictFirst(predictions)
    host, room_port = room_address(room, port)
    return PredictFirst(predictions, f"http://{host}:{room_port}/", listen_socket(host, room_port))


class PredictBox:
    """Code and buttons.

    `say` takes the words above the buttons, as HTML; `choose` is called with 'round' and its name once a question was closed or an
    earlier one is chosen.
    """

    def __init__(self, css: str, first: PredictFirst, say: Callable[[str], None], choose: Callable[[str, str], None]) -> None:
        import panel as pn

        self._first, self._say, self._choose = first, say, choose
        self._question: Question | None = None
        self._round, self._said = "", ""
        self._is_asked = self._is_settling = self._is_ticking = False
        look: dict[str, Any] = {"margin": 0, "css_classes": ["ask"], "stylesheets": [css], "visible": False}
        self._open = pn.widgets.Button(name="Open the question to the room", **look)
        self._close = pn.widgets.Button(name="Close it and show what the class predicted", **look)
        self._earlier = pn.widgets.Select(name="Earlier predictions", margin=0, width=None, css_classes=["word"], stylesheets=[css])
        self._open.on_click(lambda event: self._act(self._put))
        self._close.on_click(lambda event: self._act(self._end))
        self._earlier.param.watch(lambda event: self._pick(event.new), "value")
        wrap = ":host { display: flex !important; flex-flow: row wrap; align-items: center; gap: 8px 24px; }"
        side_by_side = pn.Row(self._open, self._close, self._earlier, margin=0, sizing_mode="stretch_width", stylesheets=[wrap])
        self.row: Any = pn.Column(side_by_side, margin=0, sizing_mode="stretch_width", visible=False)

    def prepare(self, choices: Choices, holdings: Holdings) -> None:
        """Take up what the reader chose."""
        self._is_asked, self._round, self._said = choices.question == PREDICT, choices.round, ""
        self._question = question_of(choices, holdings)

    def show(self) -> None:
        """Show what can be done now; this changes the page, and needs its lock."""
        import panel as pn

        self.row.visible = self._is_asked
        if not self._is_asked:
            self._say("")
            return
        if not self._is_ticking:
            self._is_ticking = True
            pn.state.add_periodic_callback(self._tick, period=TICK_MS)
        at_hand, predictions = self._first.predictions.at_hand(), self._first.predictions
        words = self._said or (self._joining(at_hand) if at_hand is not None else self._beginning())
        self._say(words)
        self._close.visible = at_hand is not None
        self._open.visible = at_hand is None and self._question is not None and bool(self._first.address)
        earlier = predictions.kept.of(self._question) if self._question is not None and at_hand is None else []
        options = {"predictions of this question": ""} | _named(earlier)
        self._earlier.visible = bool(earlier)
        value = self._round if self._round in options.values() else ""
        if self._earlier.options != options or self._earlier.value != value:
            self._is_settling = True
            try:
                self._earlier.param.update(options=options, value=value)
            finally:
                self._is_settling = False

    def _beginning(self) -> str:
        if not self._first.address:
            return f"<p>{escape(NO_ROOM)}</p>"
        if self._question is None or self._round:
            return ""
        minutes = int(OPEN_FOR.total_seconds() // 60)
        kept = "What is kept is how many gave which answer: in the home, for the classes after this one; no names, nothing of a phone."
        return f"<p>{escape(f'Phones join with a code that holds for {minutes} minutes or until you close the question. {kept}')}</p>"

    def _joining(self, at_hand: Open) -> str:
        """The code as a QR code and in words, and how many have answered."""
        address = f"{self._first.address}{at_hand.code}"
        n = count(self._first.predictions.n_answered(), "phone has", "phones have")
        until = f"{at_hand.closes_at.astimezone():%H:%M}"
        state = "Its time has run out: close it." if self._first.predictions.has_run_out() else f"Open until {until}."
        other = "" if at_hand.question == self._question else f"<p>{escape(at_hand.question.words())}</p>"
        return (
            f'<div class="join">{_qr(address)}<div>{other}<p>Open on your phone, in this room’s network:</p>'
            f'<p class="address">{escape(address)}</p><p>The code is <strong class="code">{escape(at_hand.code)}</strong>.</p>'
            f'<p class="answered">{n} answered.</p><p>{escape(state)}</p></div></div>'
        )

    def _tick(self) -> None:
        import panel as pn

        if self._is_asked and (self._first.predictions.at_hand() is not None or self._close.visible):
            pn.state.execute(self.show, schedule=True)

    def _act(self, act: Callable[[], None]) -> None:
        import panel as pn

        try:
            self._said = ""
            act()
        except TautleafError as error:
            self._said = f'<p role="alert">{escape(str(error))}</p>'
        pn.state.execute(self.show, schedule=True)

    def _pick(self, opened_at: str | None) -> None:
        if opened_at is not None and not self._is_settling:
            self._choose("round", opened_at)

    def _put(self) -> None:
        if self._question is not None:
            self._first.predictions.open(self._question)
            if self._round:
                self._choose("round", "")

    def _end(self) -> None:
        counted = self._first.predictions.close()
        if counted is None:
            return
        if counted.n_answered == 0:
            self._said = "<p>Closed: nobody had answered, and so nothing is kept.</p>"
        elif counted.question == self._question:
            self._choose("round", counted.opened_at)


def _named(earlier: list[Counted]) -> dict[str, str]:
    """When a question was opened, by this computer's clock, and how many answered; to the second where the minute is not enough."""
    named: dict[str, str] = {}
    for each in earlier:
        opened = dt.datetime.fromisoformat(each.opened_at).astimezone()
        words = f"{each.n_answered} on {opened.day} {opened:%b %Y, %H:%M}"
        named[words if words not in named else f"{words}:{opened:%S.%f}"] = each.opened_at
    return named


def _qr(address: str) -> str:
    """The address as a QR code, dark on light on any ground; what it says stands beside it."""
    import segno

    drawn = segno.make(address, error="m", micro=False).svg_inline(omitsize=True, border=4, dark="#1e1f1b", light="#ffffff")
    return f'<div class="qr" role="img" aria-label="QR code of the address beside it">{drawn}</div>'
