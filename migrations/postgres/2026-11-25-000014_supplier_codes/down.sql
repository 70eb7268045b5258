DROP TABLE supplier_codes;
