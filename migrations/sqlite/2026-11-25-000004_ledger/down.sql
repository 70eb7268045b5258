DROP TABLE reservations;
DROP TABLE balances;
DROP TABLE movements;
DROP TABLE request_keys;
DROP TABLE serials;
DROP TABLE lots;
