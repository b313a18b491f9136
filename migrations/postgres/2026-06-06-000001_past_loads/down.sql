DROP TABLE past_load_lines;
DROP TABLE past_loads;
