ALTER TABLE variants DROP COLUMN facts_source;
ALTER TABLE variants DROP COLUMN facts;
