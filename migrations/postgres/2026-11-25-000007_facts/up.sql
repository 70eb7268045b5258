-- What the rules of fit compare, and the document that states it.
ALTER TABLE variants ADD COLUMN facts TEXT NOT NULL DEFAULT '';
ALTER TABLE variants ADD COLUMN facts_source TEXT NOT NULL DEFAULT '';
