"""Instruments of the line protocol on pseudo-terminals, which give recorded lines and nothing else.

Usage: feeder.py FOLDER STATIONS SEED [talk-only]. Makes FOLDER/port-1 and so on. Commands come on
standard input: "feed N RATE" gives N more readings in all, RATE a second (0: as fast as they are
taken), and answers "fed NANOS" with the moment of the first byte; "times FILE" writes for each
reading when its last byte was written: station, number, nanoseconds of the monotonic clock. It ends
when its input ends. Talk-only instruments wait for nobody and number their readings all the same.
"""

import binascii
import errno
import os
import pty
import random
import select
import sys
import time
import tty
from collections import deque

BEAT = 1.0
TAPS = 17
CHANNELS = (("turns-ratio", "1"), ("excitation-current", "mA"), ("phase-displacement", "deg"), ("test-voltage", "V"))


def line(text):
    body = text.encode()
    return body + b"*%04X\n" % binascii.crc_hqx(body, 0xFFFF)


def recorded(seed):
    """What instruments said of an invented Dyn11 unit, 11 000 V to 433 V, in all positions."""
    draw = random.Random(seed)
    said = []
    for tap in range(1, TAPS + 1):
        for phase in "ABC":
            ratio = (11000 + 110 * (9 - tap)) * 3**0.5 / 433 * (1 + draw.gauss(0, 1e-4))
            said.append(
                f"status=ok test=turns-ratio windings=HV-LV phase={phase} tap={tap}"
                f" v1={ratio:.4f} v2={draw.uniform(4, 5):.2f} v3={draw.uniform(0, 0.1):.2f} v4={draw.uniform(39.9, 40.1):.2f}"
            )
    return said


class Instrument:
    def __init__(self, index, said, path, talk_only):
        self.master, self.slave = pty.openpty()
        tty.setraw(self.slave)
        os.set_blocking(self.master, False)
        if os.path.islink(path):
            os.unlink(path)
        os.symlink(os.ttyname(self.slave), path)
        self.serial = f"FEED-{index:04d}"
        self.boot = f"{index:04x}{os.getpid():08x}"
        self.said = said
        self.talk_only = talk_only
        self.credit = 1 << 30 if talk_only else 0
        self.waiting = deque()  # lines made and not sent yet, from self.next on
        self.sent = deque()  # lines sent and not acknowledged yet
        self.next = 1
        self.given = 0
        self.written = []  # by number - 1
        self.out = b""
        self.marks = deque()  # (bytes of out up to which, reading's number)
        self.input = b""
        self.spoke = time.monotonic()
        self.session = False
        self.wants = select.EPOLLIN

    def make(self):
        self.given += 1
        moment = time.time()
        at = time.strftime("%Y-%m-%dT%H:%M:%S", time.gmtime(moment)) + f".{int(moment * 1000) % 1000:03d}Z"
        text = self.said[self.given % len(self.said)]
        return line(f"!reading boot={self.boot} seq={self.given} at={at} clock=free {text}")

    def say(self, text):
        self.out += line(text)
        self.write()

    def send(self):
        """Sends what the credit allows and the terminal takes."""
        while self.waiting and len(self.sent) < self.credit and len(self.out) < 65536:
            one = self.waiting.popleft()
            if not self.talk_only:
                self.sent.append(one)
            self.out += one
            self.marks.append((len(self.out), self.next))
            self.next += 1
        self.write()

    def write(self):
        try:
            count = os.write(self.master, self.out) if self.out else 0
        except BlockingIOError:
            return
        now = time.monotonic_ns()
        self.out = self.out[count:]
        self.spoke = now / 1e9 if count else self.spoke
        while self.marks and self.marks[0][0] <= count:
            self.marks.popleft()
            self.written.append(now)
        self.marks = deque((end - count, number) for end, number in self.marks)

    def read(self):
        try:
            self.input += os.read(self.master, 65536)
        except OSError as error:
            if error.errno not in (errno.EIO, errno.EAGAIN):
                raise
        *lines, self.input = self.input.split(b"\n")
        for one in lines:
            words = one.decode().split("*")[0].split(" ")
            self.take(words[0], dict(word.split("=", 1) for word in words[1:]))

    def take(self, kind, fields):
        req = fields.get("req")
        if kind == ">hello":
            self.session = False
            self.say(
                f"<hello req={req} version=1.1 maker=Invented model=feeder serial={self.serial} firmware=1"
                f" boot={self.boot} line=240 store=1000000 beat={int(BEAT * 1000)}"
            )
        elif kind == ">channels":
            for number, (quantity, unit) in enumerate(CHANNELS, 1):
                self.say(f"<channel req={req} n={number} of={len(CHANNELS)} ch={number} quantity={quantity} unit={unit}")
        elif kind == ">send":
            self.forget(int(fields["after"]))
            if self.sent:
                sys.exit(f"{self.serial}: reading {self.next - len(self.sent)} is asked for again; recorded lines are given once")
            self.credit = int(fields["credit"])
            self.say(f"<ok req={req} first={self.next} last={self.given}")
            self.session = True
        elif kind == ">ack":
            self.credit = int(fields["credit"])
            self.forget(int(fields["seq"]))

    def forget(self, last):
        while self.sent and self.next - len(self.sent) <= last:
            self.sent.popleft()

    def beat(self):
        if self.session and time.monotonic() - self.spoke > 0.7 * BEAT:
            self.say(f"!beat boot={self.boot} last={self.given} held={len(self.waiting) + len(self.sent)}")


class Feed:
    """A number of readings to be given, one instrument after the other, at a rate."""

    def __init__(self, count, rate):
        self.left = count
        self.rate = rate
        self.begun = time.monotonic()
        self.due = 0

    def next(self, instruments):
        due = self.left if not self.rate else int((time.monotonic() - self.begun) * self.rate) - self.due
        due = min(due, self.left)
        if self.rate:
            for number in range(self.due, self.due + due):
                one = instruments[number % len(instruments)]
                one.waiting.append(one.make())
        self.due += due
        self.left -= due


def times(instruments, path):
    with open(path, "w") as file:
        for one in instruments:
            for number, nanos in enumerate(one.written, 1):
                file.write(f"{one.serial} {number} {nanos}\n")


def main():
    folder, count, seed = sys.argv[1], int(sys.argv[2]), int(sys.argv[3])
    said = recorded(seed)
    talk_only = sys.argv[4:] == ["talk-only"]
    instruments = [Instrument(i, said, f"{folder}/port-{i}", talk_only) for i in range(1, count + 1)]
    by_file = {one.master: one for one in instruments}
    ear = select.epoll()
    for file in by_file:
        ear.register(file, select.EPOLLIN)
    ear.register(0, select.EPOLLIN)
    os.set_blocking(0, False)
    print("ready", flush=True)
    feed = Feed(0, 1)
    looked = 0
    while True:
        busy = feed.left and feed.rate
        events = ear.poll(0.0005 if busy else 0.1)
        for file, event in events:
            if file == 0:
                text = os.read(0, 4096)
                if not text:
                    return
                word, *rest = text.decode().split()
                if word == "times":
                    times(instruments, rest[0])
                    print("written", flush=True)
                else:
                    feed = Feed(int(rest[0]), int(rest[1]))
                    if not feed.rate:  # made before, so that making them costs no time now
                        for number in range(feed.left):
                            one = instruments[number % count]
                            one.waiting.append(one.make())
                    print("fed", time.monotonic_ns(), flush=True)
            elif event & select.EPOLLIN:
                by_file[file].read()
        feed.next(instruments)
        for one in instruments:
            if one.waiting or one.out:
                one.send()
            wants = select.EPOLLIN | (select.EPOLLOUT if one.out else 0)
            if wants != one.wants:
                one.wants = wants
                ear.modify(one.master, wants)
        if time.monotonic() - looked > 0.1:
            looked = time.monotonic()
            for one in instruments:
                one.beat()


main()
