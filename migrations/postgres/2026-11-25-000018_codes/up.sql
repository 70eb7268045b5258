-- A scan and a recall ask for a lot or serial number without its part number.
CREATE INDEX lots_code ON lots (code);
CREATE INDEX serials_code ON serials (code);
