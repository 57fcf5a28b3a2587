#!/usr/bin/env python3
"""A driver in Python: speaks for an invented meter over standard input and output.

The meter talks and never listens: after each measurement it prints one line, as in

    N=0042 LV A RES=12.345 mOhm TMP=20.1 C OK

its running number (unused here: it starts again with each power-up), winding, phase, resistance,
temperature and OK or UNST (not settled yet). In place of the resistance it prints OL when it is
over range and OPEN when a lead is off. What is no such line is no reading: it is told to the
bridge's log, on standard error.

A bridge starts this program and talks the line protocol with it (../protocol.md). It ends when its
standard input ends, and with exit code 1 when the meter is gone; the bridge then starts it again.

Copy it, and replace LINE, CHANNELS and reading(): the rest stays.
"""

import argparse
import os
import queue
import re
import socket
import sys
import threading
import time

from line_instrument import Instrument

CHANNELS = [(1, "winding-resistance", "mOhm"), (2, "winding-temperature", "Cel")]
LINE = re.compile(
    r"N=[0-9]{4} (HV|LV) ([ABC]) RES=(?:([0-9]{1,5}\.[0-9]{1,4}) mOhm|(OL)|(OPEN))"
    r" TMP=(-?[0-9]{1,3}\.[0-9]) C (OK|UNST)"
)
LONGEST = 200  # bytes of a line of the meter; more is no line
BAUD = 9600


def plain(number):
    """Returns a number without leading zeros, all its other digits as they are (rule L-22a)."""
    return re.sub(r"^(-?)0+(?=[0-9])", r"\1", number)


def reading(line):
    """Returns values, status and labels of a line of the meter; None if it is no reading."""
    match = LINE.fullmatch(line)
    if match is None:
        return None
    windings, phase, ohms, over, is_open, celsius, status = match.groups()
    value = plain(ohms) if ohms else "over-range" if over else "open"
    labels = [("test", "winding-resistance"), ("windings", windings), ("phase", phase)]
    return {1: value, 2: plain(celsius)}, "ok" if status == "OK" else "not-settled", labels


def lines(read):
    """Cuts what read() brings into lines, whichever of CR and LF ends them, bounded."""
    rest = b""
    while True:
        data = read()
        if not data:
            return
        *whole, rest = re.split(rb"[\r\n]+", rest + data)
        for line in whole:
            if line:
                yield line[:LONGEST].decode("ascii", "replace")
        rest = rest[-LONGEST - 1 :]


def serial_port(path):
    """Opens a serial port, 9600 baud, 8N1; POSIX alone has these in its standard library."""
    import termios
    import tty

    port = os.open(path, os.O_RDWR | os.O_NOCTTY)
    tty.setraw(port)
    settings = termios.tcgetattr(port)
    settings[2] |= termios.CLOCAL | termios.CREAD
    settings[4] = settings[5] = getattr(termios, "B%d" % BAUD)
    termios.tcsetattr(port, termios.TCSANOW, settings)
    return port


def meter(where, every):
    """Brings the meter's lines; ends when it is gone."""
    if where == "invented":
        for n in range(1, 10**9):
            time.sleep(every)
            yield "N=%04d LV %s RES=%d.%03d mOhm TMP=20.1 C OK" % (
                n % 10000,
                "ABC"[n % 3],
                12 + n % 5,
                n * 37 % 1000,
            )
    elif where.startswith("tcp://"):
        host, port = where[len("tcp://") :].rsplit(":", 1)
        with socket.create_connection((host, int(port)), timeout=5) as connection:
            connection.settimeout(None)
            yield from lines(lambda: connection.recv(4096))
    elif where.startswith("/dev/"):
        port = serial_port(where)
        yield from lines(lambda: os.read(port, 4096))
    else:
        with open(where, "rb") as file:
            for line in lines(lambda: file.read(4096)):
                time.sleep(every)
                yield line


def bring(source, name, events):
    """Puts what a source brings into the queue, then its end."""
    try:
        for item in source:
            events.put((name, item))
        events.put(("end", name))
    except OSError as error:
        events.put(("fault", "%s: %s" % (name, error)))


def bridge():
    """Brings what the bridge sends."""
    data = os.read(0, 4096)
    while data:
        yield data
        data = os.read(0, 4096)


def put(data):
    sys.stdout.buffer.write(data)
    sys.stdout.buffer.flush()


def run(arguments):
    """Returns the exit code."""
    instrument = Instrument(
        put,
        ("Invented", "bench ohmmeter", arguments.serial, "program 1"),
        CHANNELS,
        arguments.store,
        arguments.beat,
    )
    events = queue.Queue(1000)
    for source, name in (
        (bridge(), "bridge"),
        (meter(arguments.source, arguments.every), "meter"),
    ):
        threading.Thread(target=bring, args=(source, name, events), daemon=True).start()
    while True:
        instrument.poll()
        try:
            name, item = events.get(timeout=0.02)
        except queue.Empty:
            continue
        if name == "bridge":
            instrument.receive(item)
        elif name == "meter":
            found = reading(item)
            if found is None or not instrument.measured(*found):
                print("no reading: %s" % ascii(item), file=sys.stderr, flush=True)
        elif name == "fault":
            print(item, file=sys.stderr, flush=True)
            return 1
        elif item == "bridge":
            return 0
        elif not os.path.isfile(arguments.source):  # a file that was read is all there is
            print("the meter at %s is gone" % arguments.source, file=sys.stderr, flush=True)
            return 1


def main():
    parser = argparse.ArgumentParser(description="Speaks for an invented bench ohmmeter.")
    parser.add_argument(
        "--from",
        dest="source",
        default="invented",
        help="tcp://HOST:PORT, a serial port /dev/…, a file of lines, or: invented",
    )
    parser.add_argument("--serial", default="PY-0001", help="the meter's serial number")
    parser.add_argument(
        "--every", type=float, default=1.0, help="seconds between lines of a file, or invented ones"
    )
    parser.add_argument("--store", type=int, default=500, help="how many readings are kept")
    parser.add_argument("--beat", type=int, default=2000, help="heart-beat, ms, 100 to 600000")
    try:
        sys.exit(run(parser.parse_args()))
    except BrokenPipeError:
        os._exit(0)  # the bridge is gone; nothing is left to say


if __name__ == "__main__":
    main()
