DROP TABLE kit_line_changes;
DROP TABLE substitutions;
