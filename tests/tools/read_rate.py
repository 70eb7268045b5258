"""Prints how many labels of a PDF a reader reads: read_rate.py PDF COUNT.

Each page must be read as the serial number that it was printed with, S F26- and its number from 0.
Pages are drawn in grey, fifty at a time, once for each row of the table.
"""

import glob
import os
import subprocess
import sys
import tempfile
from concurrent.futures import ThreadPoolExecutor

import zxingcpp
from PIL import Image, ImageFilter

ROWS = [
    ("300 dpi", 300, lambda it: it),
    ("300 dpi, blurred by 2 dots (0.17 mm)", 300, lambda it: it.filter(ImageFilter.GaussianBlur(2))),
    ("300 dpi, blurred by 3 dots (0.25 mm)", 300, lambda it: it.filter(ImageFilter.GaussianBlur(3))),
    ("203 dpi, black and white", 203, lambda it: it.point(lambda grey: 255 * (grey > 127))),
]
BATCH = 50


def read(file, first, last, dpi):
    """Returns how many pages from first to last are read right, for each row of that resolution."""
    rows = [row for row in ROWS if row[1] == dpi]
    right = dict.fromkeys((row[0] for row in rows), 0)
    with tempfile.TemporaryDirectory() as folder:
        command = ["pdftoppm", "-r", str(dpi), "-gray", "-f", str(first), "-l", str(last)]
        subprocess.run([*command, file, os.path.join(folder, "p")], check=True)
        for number, path in enumerate(sorted(glob.glob(folder + "/*.pgm")), first - 1):
            page = Image.open(path)
            for name, _, change in rows:
                found = [it.text for it in zxingcpp.read_barcodes(change(page))]
                right[name] += found == [f"SF26-{number:06}"]
    return right


def main():
    file, count = sys.argv[1], int(sys.argv[2])
    total = dict.fromkeys((row[0] for row in ROWS), 0)
    jobs = [(f, min(f + BATCH - 1, count), d) for d in (300, 203) for f in range(1, count + 1, BATCH)]
    with ThreadPoolExecutor(os.cpu_count()) as pool:
        for right in pool.map(lambda it: read(file, *it), jobs):
            for name, number in right.items():
                total[name] += number
    for name, number in total.items():
        print(f"{name}: {number} of {count} read right ({100 * number / count:.2f} %)")
    sys.exit(total["300 dpi"] != count)


main()
