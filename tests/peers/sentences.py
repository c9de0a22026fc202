"""Reads and writes NMEA 0183 with a general library: python3 tests/peers/sentences.py < REQUESTS

Each line of standard input is a JSON value. A string is a sentence to read: the answer is an object with its fields, named
as in the library, and `identity`. An object `{"talker", "id", "fields"}` is a sentence to write: the answer is its text.
Exit code 2: the library is not installed.
"""

import json
import os
import sys

here = os.path.dirname(os.path.abspath(__file__))
peers = os.environ.get("WINDRODE_PEERS") or os.path.join(here, ".installed")
sys.path.insert(0, os.path.join(peers, "nmea"))
try:
    from pynmeagps import GET, VALCKSUM, NMEAMessage, NMEAReader
except ImportError as error:
    print(f"sentences: {error}; install it with: tests/peers/install", file=sys.stderr)
    sys.exit(2)

for line in sys.stdin:
    asked = json.loads(line)
    if isinstance(asked, str):
        # The library rejects a wrong checksum and an unknown sentence.
        message = NMEAReader.parse(asked.encode("ascii"), validate=VALCKSUM)
        fields = {name: str(value) for name, value in vars(message).items() if not name.startswith("_")}
        fields["identity"] = message.msgID
        print(json.dumps(fields))
    else:
        message = NMEAMessage(asked["talker"], asked["id"], GET, **asked["fields"])
        print(json.dumps(message.serialize().decode("ascii")))
