DROP TABLE label_layouts;
DROP TABLE carton_ssccs;
DROP TABLE label_prints;
