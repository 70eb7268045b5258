DROP TABLE bom_lines;
DROP TABLE bom_steps;
DROP TABLE bom_options;
DROP TABLE boms;
DROP TABLE variants;
DROP TABLE parts;
DROP TABLE places;
DROP TABLE suppliers;
