"""An event stuffed with identifiers, through real files; and the ways in which bytes can hide a text."""

import base64
import html
import json
import re
import zlib

# At least two invented identifiers of each of the 18 items of 45 CFR 164.514(b)(2)(i); from ranges that are
# kept free for invention where there are such (555-01xx, 192.0.2.x, .example).
IDENTIFIERS = {
    "A": [
        "Marguerite Quillfeather",
        "Dr Ptolemy Ashgrove",
        "Zuleikha",
        "Nurse Brannigan",
        "Øyvind Håkonsson",
    ],
    "B": [
        "14 Larkspur Crescent Road",
        "Quillhaven",
        "QH7 4ZB",
        "Alderwick Ward",
        "73301-0455",
        "Europe/Dublin",
    ],
    "C": ["2031-07-19", "19 July 2031", "14:03:27", "07/19/1937", "94-year-old", "20310719"],
    "D": ["555-0142", "+44 20 7946 0958", "(0161) 496 0733", "bleep 2214"],
    "E": ["fax 555-0177", "01632 960 441"],
    "F": ["m.quillfeather@post.example", "roe@ward.example"],
    "G": ["078-05-1120", "219-09-9999"],
    "H": ["MRN 88314077", "H-4471920", "NHS 943 476 5919"],
    "I": ["policy PX-55102934", "member 77120934", "Medicare 1EG4-TE5-MK73"],
    "J": ["GB29 NWBK 6016 1331 9268 19", "account 30519284", "invoice QF-20931"],
    "K": ["GMC 7654321", "licence QUILL-904", "NMC 31K9907E"],
    "L": ["AB31 QZX", "1HGCM82633A004352", "ambulance 4471"],
    "M": ["SN-88412-X", "00:1B:44:11:3A:B7", "UDI 01948273645"],
    "N": ["https://roster.example/p/4711", "www.quillhaven.example", "roster-portal.example"],
    "O": ["192.0.2.44", "2001:db8::8a2e:370:7334"],
    "P": ["fingerprint FP-2291", "voice print VP-1182", "retina RS-30017"],
    "Q": ["face_of_patient.jpg", "photo IMG_2231"],
    "R": [
        "badge QX7719-B",
        "d3b07384d113edec",
        "study 0x5F3A99",
        "case-Q7-1189",
        "bar 4006381333931",
        "tattoo of a heron",
    ],
}
ALL = [text for found in IDENTIFIERS.values() for text in found]


def write(folder):
    """Write an event of which every field, name and setting holds identifiers; return its folder."""
    event = folder / "Marguerite Quillfeather 2031-07-19"
    event.mkdir()
    log, sheet = "SN-88412-X AB31 QZX.csv", "Quillhaven 078-05-1120.csv"
    rows = [
        ("14:03:27", "recognition", ""),
        ("14:03:40", "compressions start", ""),
        ("14:04:10", "compressions stop", ""),
        ("14:04:20", "shock", "200"),
        ("14:04:26", "compressions start", ""),
        ("14:05:00", "note", ""),
        ("14:06:00", "epinephrine", "1"),
        ("14:06:30", "compressions stop", ""),
        ("14:07:00", "rosc", ""),
    ]
    head = "date,time,mark,detail,amount,unit,route,length,role,note,record\n"
    lines = [f"2031-07-19,{time},{mark},,{amount},,,,,," for time, mark, amount in rows]
    for number, text in enumerate(ALL):
        cell = f'"{text}"'
        at = f"14:{8 + number // 60:02}:{number % 60:02}"
        lines += [
            f"2031-07-19,{at},note,{cell},,,,,{cell},{cell},{cell}",
            f"2031-07-19,{at},{cell},{cell},,,,,,{cell},",
            f"2031-07-19,{at},epinephrine,,1,{cell},{cell},,{cell},{cell},",
            f"2031-07-19,{at},rhythm check,{cell},,,,{cell},,,",
            f"2031-07-19,{at},epinephrine,,{''.join(filter(str.isdigit, text)) or 1},mg,,,,,",
        ]
    (event / log).write_text(head + "\n".join(lines) + "\n", encoding="utf-8")
    (event / sheet).write_text(
        head
        + "\n".join(f"2031-07-19,{time[:5]},{mark},,{amount},,,,,," for time, mark, amount in rows)
        + "\n",
        encoding="utf-8",
    )
    table = {
        "event_id": "MRN 88314077",
        "age_years": 94,
        "weight_kg": 63.7,
        "date": "2031-07-19",
        "time_zone": "Europe/Dublin",
        "setting": "; ".join(ALL),
        "unit": "Alderwick Ward",
        "outcome": "Marguerite Quillfeather, moved to Quillhaven",
        "local_reference": "H-4471920",
        "reference": "SN-88412-X",
        "time_zero": "2031-07-19 14:03:27",
        "sources": [
            {"file": log, "name": "SN-88412-X", "device": "UDI 01948273645", "kind": "device"},
            {"file": sheet, "name": "Nurse Brannigan", "kind": "person"},
        ],
    }
    (event / "event.json").write_text(json.dumps(table), encoding="utf-8")
    return event


def readings(text, deep=2):
    """Yield a text and what it turns into unescaped, decoded from base64 and hex, and inflated."""
    yield text
    escaped = re.sub(r"\\u([0-9a-fA-F]{4})", lambda one: chr(int(one[1], 16)), text)
    yield from {html.unescape(text), escaped} - {text}
    if not deep:
        return
    for token in set(re.findall(r"[A-Za-z0-9+/_-]{8,}={0,2}", text)):
        for raw in _raw(token):
            for data in (raw, _inflated(raw)):
                if data:
                    yield from readings(data.decode("utf-8", "ignore"), deep - 1)


def _raw(token):
    padded = token.rstrip("=") + "=" * (-len(token.rstrip("=")) % 4)
    yield from (
        raw
        for raw in (
            _tried(base64.b64decode, padded),
            _tried(base64.urlsafe_b64decode, padded),
            _tried(bytes.fromhex, token),
        )
        if raw
    )


def _inflated(raw):
    for window in (15, -15, 31):
        try:
            return zlib.decompress(raw, window)
        except zlib.error:
            continue
    return b""


def _tried(how, token):
    try:
        return how(token)
    except ValueError:
        return b""
