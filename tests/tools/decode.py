"""Reads the bar codes of pictures: one JSON line for each symbol, in order of reading."""

import json
import sys

import zxingcpp
from PIL import Image

for path in sys.argv[1:]:
    for symbol in zxingcpp.read_barcodes(Image.open(path).convert("L")):
        print(
            json.dumps(
                {
                    "page": path,
                    "format": str(symbol.format).split(".")[-1],
                    "text": symbol.text,
                    "symbology_identifier": symbol.symbology_identifier,
                }
            )
        )
