"""Lends a port that echoes over RFC 2217 with pyserial's own server side; tells its settings.

Prints "ready PORT", then a line "set BAUD DATABITS PARITY STOPBITS XONXOFF RTSCTS DTR RTS" after
each change. One client; ends when its standard input ends.
"""

import os
import socket
import sys
import threading

import serial
import serial.rfc2217


class Connection:
    """What the library sends to."""

    def __init__(self, to):
        self.to = to
        self.lock = threading.Lock()

    def write(self, data):
        with self.lock:
            self.to.sendall(data)


def told(port):
    return "set %d %d %s %g %d %d %d %d" % (
        port.baudrate,
        port.bytesize,
        port.parity,
        port.stopbits,
        port.xonxoff,
        port.rtscts,
        port.dtr,
        port.rts,
    )


def main():
    threading.Thread(target=lambda: (sys.stdin.read(), os._exit(0)), daemon=True).start()
    port = serial.serial_for_url("loop://", timeout=0.05)
    listener = socket.create_server(("127.0.0.1", 0))
    print("ready %d" % listener.getsockname()[1], flush=True)
    client, _ = listener.accept()
    connection = Connection(client)
    manager = serial.rfc2217.PortManager(port, connection)

    def back():
        while True:
            data = port.read(port.in_waiting or 1)
            if data:
                connection.write(b"".join(manager.escape(data)))

    threading.Thread(target=back, daemon=True).start()
    last = ""
    while True:
        data = client.recv(1024)
        if not data:
            return
        port.write(b"".join(manager.filter(data)))
        now = told(port)
        if now != last:
            print(now, flush=True)
            last = now


if __name__ == "__main__":
    main()
