DROP TABLE catalogue_changes;
