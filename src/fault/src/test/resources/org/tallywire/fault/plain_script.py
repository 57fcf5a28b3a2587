"""What a shop would write: reads lines from a serial port and publishes them. Usage: PORT BROKER-PORT."""

import json
import sys
from datetime import datetime, timezone

import paho.mqtt.client as mqtt
import serial

client = mqtt.Client("plain-script")
client.max_inflight_messages_set(64)
client.connect("127.0.0.1", int(sys.argv[2]))
client.loop_start()
port = serial.Serial(sys.argv[1], 115200, timeout=1)


def lines():
    # port.readline() would ask the system for one byte at a time
    rest = b""
    while True:
        rest += port.read(port.in_waiting or 1)
        *whole, rest = rest.split(b"\n")
        yield from whole


def parse(line):
    kind, *fields = line.rpartition("*")[0].split(" ")
    if kind != "!reading":
        return None
    said = dict(field.split("=", 1) for field in fields)
    said["values"] = {key: float(said.pop(key)) for key in list(said) if key[0] == "v"}
    said["receivedAt"] = datetime.now(timezone.utc).isoformat()
    return said


print("ready", flush=True)
for raw in lines():
    reading = parse(raw.decode("ascii", "replace"))
    if reading:
        client.publish("shop/plain/reading", json.dumps(reading), qos=1)
