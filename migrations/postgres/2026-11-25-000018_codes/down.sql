DROP INDEX serials_code;
DROP INDEX lots_code;
