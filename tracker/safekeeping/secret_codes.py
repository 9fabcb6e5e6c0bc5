"""Codes that let devices in: how they are made, shown and compared, and how guessing is slowed down."""

from __future__ import annotations

import hmac
import secrets
import threading
from collections import Counter, deque
from collections.abc import Callable
from dataclasses import dataclass
from hashlib import sha256

from tracker.safekeeping.callers import network_of
from tracker.store.quilts import ID_LETTERS

CODE_LENGTH = 12
"""Letters of a code: 57 bits, and still short enough to type."""
LONGEST_NAME = 40
LONGEST_TOKEN = 200

WAIT = "Too many wrong codes came in the last minute, so this one is not looked at now."
WRONG = "This code is not (or no longer) the right one; scan or type the one that the computer shows now."


class NotPaired(Exception):
    """A device that is not let in. `wait`: seconds until it may try again (0: at once); the text is a sentence."""

    def __init__(self, sentence: str, wait: int = 0) -> None:
        super().__init__(sentence)
        self.wait = wait


@dataclass(frozen=True)
class Code:
    """A code that lets a device in: its letters, and whether it lets in one device only, for some minutes."""

    letters: str
    once: bool = False

    @property
    def typed(self) -> str:
        """In groups, as a person types it."""
        return " ".join(self.letters[at : at + 4] for at in range(0, CODE_LENGTH, 4))

    @property
    def path(self) -> str:
        """What a QR code says after the address."""
        return f"/pair/{self.letters}"


class Guesses:
    """Wrong codes of the last minute. Beyond a few the code is not looked at, right or wrong."""

    WINDOW = 60
    FROM_ONE = 5
    FROM_ALL = 30
    """However many addresses a guesser has: at 30 a minute, half of all codes take seven thousand million years."""

    def __init__(self, clock: Callable[[], int]) -> None:
        self._clock = clock
        self._wrong: deque[tuple[int, str]] = deque()
        self._lock = threading.Lock()

    def wait(self, address: str) -> int:
        """How many seconds this address, or its network, has to wait before a code of its is looked at."""
        with self._lock:
            now = self._fresh()
            own = [at for at, who in self._wrong if who == network_of(address)]
            waits = [own[-self.FROM_ONE]] if len(own) >= self.FROM_ONE else []
            waits += [self._wrong[0][0]] if len(self._wrong) >= self.FROM_ALL else []
            return max(waits) + self.WINDOW - now if waits else 0

    def wrong(self, address: str) -> None:
        """Remember a wrong code."""
        with self._lock:
            self._wrong.append((self._clock(), network_of(address)))

    def anybody_waits(self) -> bool:
        """Whether some address has to wait now."""
        with self._lock:
            self._fresh()
            most = max(Counter(who for _, who in self._wrong).values(), default=0)
            return most >= self.FROM_ONE or len(self._wrong) >= self.FROM_ALL

    def _fresh(self) -> int:
        """The time now, after what is too old was forgotten."""
        now = self._clock()
        while self._wrong and now - self._wrong[0][0] >= self.WINDOW:
            self._wrong.popleft()
        return now


class Invitations:
    """Codes for one device each, as hard to guess as the code, which are looked at even while others guess."""

    SHOWN, VALID = 600, 1200
    """Seconds for which one is shown, and for which it lets a device in."""

    def __init__(self, clock: Callable[[], int]) -> None:
        self._clock = clock
        self._made: dict[str, int] = {}
        self._lock = threading.Lock()

    def newest(self) -> str:
        """One that lets a device in."""
        with self._lock:
            now = self._fresh()
            letters = next(reversed(self._made), "")
            if not letters or now - self._made[letters] >= self.SHOWN:
                letters = letters_of(CODE_LENGTH)
                self._made[letters] = now
            return letters

    def holds(self, given: str, use: bool = False) -> bool:
        """Whether this is one. `use`: it is none from now on."""
        with self._lock:
            self._fresh()
            found = [letters for letters in self._made if same_code(given, letters)]
            if use:
                self._made = {letters: at for letters, at in self._made.items() if letters not in found}
            return bool(found)

    def clear(self) -> None:
        """None of them lets anybody in any more."""
        with self._lock:
            self._made.clear()

    def _fresh(self) -> int:
        now = self._clock()
        self._made = {letters: at for letters, at in self._made.items() if now - at < self.VALID}
        return now


def letters_of(number: int) -> str:
    """So many letters by chance."""
    return "".join(secrets.choice(ID_LETTERS) for _ in range(number))


def plain_code(code: str) -> str:
    """A code as it was typed, without case and groups."""
    return "".join(code.lower().split()).replace("-", "")


def wrong_code(given: str) -> str:
    """What is said of a code that lets nobody in, plain as it was given; and where its letters tell, what of it is
    wrong."""
    form = f"A code has {CODE_LENGTH} letters and figures, in groups of four"
    if not given:
        return f"No code was typed. {form}, as the computer shows them now."
    odd = next((letter for letter in given if letter not in ID_LETTERS and letter.isprintable()), "")
    if odd:
        return f"{WRONG} “{odd}” stands in none: they have no vowels, no l, no 0 and no 1."
    return WRONG if len(given) == CODE_LENGTH else f"{WRONG} {form}, and this one has {len(given)}."


def same_code(given: str, letters: str) -> bool:
    """Whether a code that was given is the right one; it takes as long, whatever is wrong with it."""
    return hmac.compare_digest(given.encode("utf-8", "replace"), letters.encode())


def hash_of(token: str) -> str:
    """What is kept of a device's token."""
    # A token has 256 random bits: nothing to be guessed from a fast hash.
    return sha256(token.encode("utf-8", "replace")).hexdigest()
