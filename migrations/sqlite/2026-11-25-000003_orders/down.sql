DROP TABLE box_reports;
DROP TABLE pick_list_kits;
DROP TABLE pick_lists;
DROP TABLE cartons;
DROP TABLE kit_lines;
DROP TABLE kit_options;
DROP TABLE kits;
DROP TABLE orders;
