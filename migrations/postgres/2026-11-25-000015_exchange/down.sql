DROP TABLE despatch_advice_lines;
DROP TABLE despatch_advices;
DROP TABLE carton_seals;
