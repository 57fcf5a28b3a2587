"""The instrument's side of the Tallywire line protocol, version 1.1 (../protocol.md).

Python's standard library alone. Written after appendix A of that page; the rules in the remarks
are its rules. A program of yours makes an Instrument, gives it what the bridge sends (receive),
tells it what was measured (measured), and calls poll often.
"""

import binascii
import os
import re
import time
from collections import OrderedDict
from datetime import datetime, timezone

LONGEST = 240  # bytes of a line, its terminator not among them (L-6)
TEXT = 64  # characters of a text (L-31)
LINE_TIME = 0.150  # of any line, over a path without a speed (L-28)
WORDS = ("over-range", "under-range", "open", "invalid", "aborted")  # L-22
STATUS = ("ok", "not-settled", "suspect", "aborted")  # L-20d
PLAIN = frozenset(range(0x21, 0x7F)) - frozenset(b" %*=")
DECIMAL = re.compile(r"-?(0|[1-9][0-9]*)(\.[0-9]+)?")
NUMBER = re.compile(r"0|[1-9][0-9]{0,17}")  # L-38
VERSION = re.compile(r"(0|[1-9][0-9]{0,17})\.(0|[1-9][0-9]{0,17})")
REQUEST = re.compile(rb"req=([0-9]{1,9})")
PIECES = re.compile(
    rb">([a-z][a-z0-9-]{0,23})"
    rb"((?: [a-z][a-z0-9]{0,15}=(?:[\x21-\x24\x26-\x29\x2B-\x3C\x3E-\x7E]|%[0-9A-F]{2})*)*)"
)


def check(line):
    """Returns the check value of a line, in upper case (L-5)."""
    return b"%04X" % binascii.crc_hqx(line, 0xFFFF)


def escaped(text):
    """Returns a value as it goes over the line (L-9)."""
    return b"".join(
        bytes((octet,)) if octet in PLAIN else b"%%%02X" % octet for octet in text.encode()
    )


def unescaped(value):
    """Returns what a value means; raises UnicodeDecodeError if its escapes are no UTF-8."""
    return re.sub(rb"%(..)", lambda e: bytes((int(e[1], 16),)), value).decode()


def fields_of(line):
    """Returns kind and fields of an undamaged line; None if it is not of the grammar."""
    match = PIECES.fullmatch(line)
    if match is None:
        return None
    fields = {}
    for piece in match[2].split():
        key, value = piece.split(b"=", 1)
        if key in fields:
            return None  # L-10a
        fields[key] = value
    try:
        return match[1].decode(), {key.decode(): unescaped(v) for key, v in fields.items()}
    except UnicodeDecodeError:
        return None  # L-9b


def number(text, least, most):
    """Returns a whole number within limits, or None (L-38)."""
    if text is None or not NUMBER.fullmatch(text):
        return None
    value = int(text)
    return value if least <= value <= most else None


def now():
    return time.monotonic()


class Instrument:
    """One instrument with its store of readings. Used by one thread."""

    def __init__(self, put, identity, channels, store=500, beat=2000):
        """put(bytes) sends; identity is (maker, model, serial, firmware); channels is a list of
        (number, quantity, unit); store is how many readings are kept; beat is in milliseconds."""
        self.put = put
        self.identity = identity
        self.channels = channels
        self.size = store
        self.beat = beat
        self.boot = os.urandom(6).hex()  # 48 random bits (L-14)
        self.heard_bytes = b""
        self.store = OrderedDict()  # number: fields
        self.ends = []  # of what is under way
        self.last = self.acked = self.sent = 0
        self.next = self.oldest = self.first = 1
        self.grant = 1
        self.asked = b""
        self.session = self.sending = False
        self.said = self.heard = self.moved = now()
        self.announced = False

    # ---- lines ----

    def _line(self, kind, fields):
        """Returns a line without its terminator."""
        body = b"".join(b" %s=%s" % (key.encode(), escaped(str(v))) for key, v in fields)
        line = kind.encode() + body
        return line + b"*" + check(line)

    def _say(self, kind, fields):
        self.put(self._line(kind, fields) + b"\n")
        self.said = now()

    def receive(self, data):
        """Takes bytes from the bridge, however they are cut."""
        for piece in self._pieces(data):
            self.heard_bytes += piece
            if not piece.endswith(b"\n"):
                self.heard_bytes = self.heard_bytes[-LONGEST - 2 :]  # L-6b
                continue
            whole = self.heard_bytes[:-1]
            self.heard_bytes = b""
            if whole.endswith(b"\r"):
                whole = whole[:-1]  # L-2b
            self._whole(whole[-LONGEST - 1 :])

    @staticmethod
    def _pieces(data):
        pieces = data.split(b"\n")  # only LF ends a line (L-1b)
        return [piece + b"\n" for piece in pieces[:-1]] + ([pieces[-1]] if pieces[-1] else [])

    def _whole(self, text):
        """Takes the line in what stood before a terminator: the first whole one (L-7)."""
        found = None
        for start in (i for i, octet in enumerate(text) if octet == 0x3E):
            line = text[start:]
            if len(line) > LONGEST or not self._undamaged(line):
                continue
            if fields_of(line[:-5]) is not None:
                found = line
                break
            found = found or line
        if found is not None:
            self._take(found[:-5])

    @staticmethod
    def _undamaged(line):
        return (
            len(line) > 5
            and line[-5:-4] == b"*"
            and all(0x20 <= octet <= 0x7E for octet in line)  # L-4b
            and line[-4:].upper() == check(line[:-5])
        )

    def _take(self, line):
        self.heard = now()  # L-28b
        parsed = fields_of(line)
        kind = line[1:].split(b" ", 1)[0].decode("ascii")
        if kind == "beat":
            return
        if kind == "ack":
            if parsed:
                self._acknowledged(parsed[1])
            return
        requests = [m[1].decode() for m in map(REQUEST.fullmatch, line.split(b" ")) if m]
        if len(requests) != 1:
            return  # L-30c
        req = requests[0]
        if parsed is None:
            self._error(req, 101)  # L-10c
        elif kind == "hello":
            self._hello(req, parsed[1].get("version"))
        elif kind == "channels":
            self._channels(req)
        elif kind == "send":
            self._send(req, parsed[1], line)
        else:
            self._error(req, 201)  # L-30b

    def _error(self, req, code):
        self._say("<error", [("req", req), ("code", code)])

    # ---- session ----

    def _hello(self, req, version):
        self.session = self.sending = False  # L-18, L-37a
        match = VERSION.fullmatch(version or "")
        if match is None:
            self._error(req, 202)
        elif match[1] != "1":
            self._error(req, 301)  # L-12c
        else:
            self.session = True
            maker, model, serial, firmware = self.identity
            self._say(
                "<hello",
                [("req", req), ("version", "1.1"), ("maker", maker), ("model", model)]
                + [("serial", serial), ("firmware", firmware), ("boot", self.boot)]
                + [("line", LONGEST), ("store", self.size), ("beat", self.beat)],
            )

    def _channels(self, req):
        for n, (channel, quantity, unit) in enumerate(self.channels, 1):
            self._say(
                "<channel",
                [("req", req), ("n", n), ("of", len(self.channels)), ("ch", channel)]
                + [("quantity", quantity), ("unit", unit)],
            )

    def _send(self, req, fields, line):
        after = number(fields.get("after"), 0, 10**18)
        credit = number(fields.get("credit"), 1, 64)
        if after is None or credit is None or "boot" not in fields:
            self._error(req, 202)
        elif fields["boot"] != self.boot or not self.session:
            self._error(req, 302)  # L-19c
        elif after > self.last:
            self._error(req, 202)
        else:
            again = self.sending and line == self.asked  # L-16d
            self.asked, self.grant, self.sending = line, credit, True
            self._back(after)
            if not again:
                self.first = self.next
            self._say("<ok", [("req", req), ("first", self.first), ("last", self.last)])

    def _back(self, after):
        self.next = max(after, self.acked) + 1
        self.ends = []
        self.moved = now()

    def _acknowledged(self, fields):
        seq = number(fields.get("seq"), 0, 10**18)
        credit = number(fields.get("credit"), 1, 64)
        if seq is None or credit is None or fields.get("boot") != self.boot or seq > self.sent:
            return  # L-23d
        self.acked = max(self.acked, seq)
        self.oldest = max(self.oldest, self.acked + 1)
        self.next = max(self.next, self.acked + 1)
        while self.store and next(iter(self.store)) < self.oldest:
            self.store.popitem(last=False)
        self.ends = [end for end in self.ends if end > self.acked]
        self.grant = credit  # L-23c
        self.moved = now()

    # ---- readings ----

    def measured(self, values, status="ok", labels=(), at=None):
        """Keeps a reading: values by channel number, as text or one of WORDS. Returns False if it
        is none, or too long for a line; it then gets no number (L-24d)."""
        if status not in STATUS or not values:
            return False
        for value in values.values():
            if value not in WORDS and (len(value) > 32 or not DECIMAL.fullmatch(value)):
                return False  # L-22a
        labels = [(key, str(value)[:TEXT]) for key, value in labels]
        at = at or datetime.now(timezone.utc)
        fields = [("at", at.strftime("%Y-%m-%dT%H:%M:%S.") + "%03dZ" % (at.microsecond // 1000))]
        fields += [("clock", "free"), ("status", status)] + labels
        fields += [("v%d" % channel, value) for channel, value in values.items()]
        if len(self._reading(self.last + 1, fields, True)) > LONGEST:
            return False
        if self.oldest > self.last:
            self.moved = now()  # L-24b: the first one held
        if self.last + 1 - self.oldest == self.size:
            self.store.pop(self.oldest)
            self.oldest += 1  # L-26a
        self.last += 1
        self.store[self.last] = fields
        return True

    def _reading(self, seq, fields, resent):
        all_fields = [("boot", self.boot), ("seq", seq)] + fields
        return self._line("!reading", all_fields + ([("resent", 1)] if resent else []))

    def poll(self):
        """Says what is due; call it often, 20 times a second at least."""
        if not self.announced:
            self.announced = True
            self._say("!start", [("boot", self.boot)])  # L-15a
        if self.session and now() - self.heard > 2.5 * self.beat / 1000 + LINE_TIME:
            self.session = self.sending = False  # L-28c
        if not self.session:
            return
        held = self.oldest <= self.last
        if self.sending and held and now() - self.moved >= 3 * self.beat / 1000:
            self._back(0)  # L-24b
        while self.sending and len(self.ends) < self.grant and self.next <= self.last:
            self._next()  # L-18, L-19a
        if now() - self.said >= 0.75 * self.beat / 1000:
            held = self.last + 1 - self.oldest
            self._say("!beat", [("boot", self.boot), ("last", self.last), ("held", held)])

    def _next(self):
        if self.next < self.oldest:  # L-26
            end = self.oldest - 1
            self._say("!lost", [("boot", self.boot), ("from", self.next), ("to", end)])
        else:
            end = self.next
            self.put(self._reading(end, self.store[end], end <= self.sent) + b"\n")  # L-24c
            self.said = now()
        self.ends.append(end)
        self.sent = max(self.sent, end)
        self.next = end + 1
        self.moved = now()
