"""Judges GS1 element strings with biip and check digits with python-stdnum: one JSON line for each
line of standard input."""

import json
import sys

from biip import ParseError
from biip.gs1_messages import GS1Message
from stdnum import ean
from stdnum.iso7064 import mod_37_36


def judge(line):
    if "elements" in line:
        try:
            message = GS1Message.parse(line["elements"])
        except ParseError as fault:
            return {"error": str(fault)}
        return {"elements": [[it.ai.ai, it.value] for it in message.element_strings]}
    if "body" in line:
        return {"check": ean.calc_check_digit(line["body"])}
    return {"check": mod_37_36.calc_check_digit(line["text"])}


for line in sys.stdin:
    print(json.dumps(judge(json.loads(line))))
