#!/usr/bin/env python3
"""An example of a consumer that loses nothing; to be copied and changed.

It keeps each record once, sees from the tallies what it misses, says how to get it again, and
confirms to the bridge what it holds. Python's own library and mosquitto's two clients, no more.
"""
import argparse
import json
import os
import signal
import subprocess
import sys
import time
from functools import partial

say = partial(print, flush=True)


class Archive:
    """The records on this machine's disk, one JSON object a line, each id once."""
    def __init__(self, path):
        self.ids = set()
        self.file = open(path, "a+b")
        self.file.seek(0)
        whole = 0
        for line in self.file:
            if not line.endswith(b"\n"):
                say(f"NOTICE: the last line of {path} was cut off by a crash; it is taken away")
                self.file.truncate(whole)
                break
            whole += len(line)
            self.ids.add(json.loads(line)["id"])

    def add(self, record_id, payload):
        """Appends a record unless it is there; a repeat is harmless."""
        if record_id in self.ids:
            return
        self.file.write(payload + b"\n")
        self.ids.add(record_id)

    def sync(self):
        """Returns when everything added is on the disk."""
        self.file.flush()
        os.fsync(self.file.fileno())


class Books:
    """Which positions of each journal are held; a hole stays one until it is filled.

    For each journal: `held`, the ranges [from, to] that we hold, `digests`, the last that the
    tallies told, by position, and `told`, the highest position they told of.
    """
    REMEMBERED = 1000

    def __init__(self, path, start):
        self.path = path
        self.start = start
        self.journals = {}
        if os.path.exists(path):
            with open(path, encoding="utf-8") as file:
                self.journals = json.load(file)

    def note(self, tally, ids):
        """Takes in a tally; returns what is wrong with it, if something is."""
        if len(tally["ids"]) != tally["to"] - tally["from"] + 1:
            return f"a tally from {tally['from']} to {tally['to']} has {len(tally['ids'])} ids"
        name = tally["journal"]
        known = self.journals.get(name)
        if known is None:
            if self.journals:
                say(f"NOTICE: the records now come from journal {name}, until now from "
                    f"{' and '.join(self.journals)}; its positions count anew. "
                    "Was the bridge's data folder replaced?")
            start = 0 if self.journals else self.start
            known = {"held": [[0, start]], "start": start, "digests": {}, "told": 0}
            self.journals[name] = known
        digest = known["digests"].setdefault(str(tally["to"]), tally["digest"])
        if digest != tally["digest"]:
            return (f"the digest at position {tally['to']} of journal {name} is {tally['digest']} "
                    f"and was {digest}: the journal's past was changed")
        shelved = set(tally.get("shelved", []))
        lacking = []
        for position, record_id in enumerate(tally["ids"], tally["from"]):
            if record_id in ids or position in shelved or position <= known.get("start", 0):
                known["held"].append([position, position])
            else:
                lacking.append(position)  # also one that lay on the shelf and was sent since
        known["held"] = without(merged(known["held"]), lacking)
        known["told"] = max(known["told"], tally["to"])
        for old in sorted(known["digests"], key=int)[:-self.REMEMBERED]:
            del known["digests"][old]

    def position(self, name):
        """Up to where everything is held."""
        return self.journals[name]["held"][0][1]

    def holes(self, name):
        """What is missing below the highest position that a tally told of."""
        known = self.journals[name]
        ends = known["held"] + [[known["told"] + 1, known["told"] + 1]]
        return [(low[1] + 1, high[0] - 1) for low, high in zip(ends, ends[1:])
                if high[0] - low[1] > 1]

    def save(self):
        draft = self.path + ".new"
        with open(draft, "w", encoding="utf-8") as file:
            json.dump(self.journals, file)
            file.flush()
            os.fsync(file.fileno())
        os.replace(draft, self.path)


def merged(ranges):
    """Ranges in order, those that touch made one."""
    result = []
    for low, high in sorted(ranges):
        if result and low <= result[-1][1] + 1:
            result[-1][1] = max(result[-1][1], high)
        else:
            result.append([low, high])
    return result


def without(ranges, positions):
    """Ranges in order, with positions taken out."""
    for position in positions:
        ranges = [part for low, high in ranges
                  for part in ([low, min(high, position - 1)], [max(low, position + 1), high])
                  if part[0] <= part[1]]
    return ranges


class Consumer:
    def __init__(self, options):
        self.options, self.site = options, f"{options.root}/{options.site}"
        self.archive = Archive(options.records)
        self.books = Books(options.records + ".books", options.start)
        self.asked = set()
        self.listener = None

    def message(self, topic, payload):
        kind = topic[len(self.site) + 1:].split("/")[1:]
        if kind == ["tally"]:
            self.tally(json.loads(payload))
        elif len(kind) == 1 and kind != ["state"]:  # states are live and in no tally
            self.archive.add(json.loads(payload)["id"], payload.replace(b"\n", b" "))

    def tally(self, tally):
        wrong = self.books.note(tally, self.archive.ids)
        if wrong:
            say(f"NOTICE: {wrong}; nothing is confirmed by this tally")
            return
        # first the records, then what we say of them: never the other way round
        self.archive.sync()
        self.books.save()
        journal = tally["journal"]
        for first, last in self.books.holes(journal):
            if (journal, first, last) not in self.asked:
                self.asked.add((journal, first, last))
                say(f"MISSING: positions {first} to {last} of journal {journal}; at the bridge: "
                    f"tallywire replay {self.options.config} --from {first} --to {last}")
        if self.books.position(journal) > 0:
            self.confirm(journal)

    def confirm(self, journal):
        position = self.books.position(journal)
        text = json.dumps({"journal": journal, "position": position}, separators=(",", ":"))
        topic = f"{self.site}/bridge/confirm/{self.options.name}"
        sent = subprocess.run(["mosquitto_pub", *self.options.broker, "-q", "1", "-i",
                               f"{self.options.name}-confirms", "-t", topic, "-m", text],
                              timeout=30, check=False)
        if sent.returncode != 0:
            say(f"NOTICE: position {position} could not be confirmed; the next tally tries again")

    def run(self):
        """Listens for ever; the fixed client id and -c make the broker keep what we miss."""
        while True:
            command = ["stdbuf", "-oL", "mosquitto_sub", *self.options.broker, "-q", "1", "-c",
                       "-i", self.options.name, "-t", f"{self.site}/#", "-F", "%t %x"]
            with subprocess.Popen(command, stdout=subprocess.PIPE) as self.listener:
                for line in self.listener.stdout:
                    topic, _, payload = line.decode("utf-8").strip().partition(" ")
                    try:
                        self.message(topic, bytes.fromhex(payload))
                    except (ValueError, KeyError, TypeError, IndexError) as error:
                        say(f"NOTICE: a message on {topic} is no record: {error!r}")
            say("NOTICE: mosquitto_sub ended; it is started again in 5 s")
            time.sleep(5)

    def stop(self, *_):
        if self.listener:
            self.listener.terminate()
        sys.exit(0)


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--name", required=True, help="ours, as in the bridge's `consumers`")
    parser.add_argument("--site", required=True, help="second level of the topics")
    parser.add_argument("--root", default="tallywire", help="first level of the topics")
    parser.add_argument("--records", required=True, help="the file to append to")
    parser.add_argument("--config", default="CONFIG", help="the bridge's configuration, for what is said")
    parser.add_argument("--start", type=int, default=0, help="what is before is not wanted")
    parser.add_argument("broker", nargs="*", help="behind --: options of mosquitto_sub and _pub")
    consumer = Consumer(parser.parse_args())
    signal.signal(signal.SIGTERM, consumer.stop)
    signal.signal(signal.SIGINT, consumer.stop)
    consumer.run()


if __name__ == "__main__":
    main()
