DROP TRIGGER past_load_lines_never_change ON past_load_lines;
DROP TRIGGER past_loads_never_change ON past_loads;
