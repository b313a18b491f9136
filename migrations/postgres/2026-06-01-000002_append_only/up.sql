-- The ledger only grows: a correction is another movement.
-- Triggers are the one thing that the two dialects write differently.

CREATE FUNCTION movements_append_only() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    RAISE EXCEPTION 'movements are append-only';
END;
$$;

CREATE TRIGGER movements_never_change BEFORE UPDATE OR DELETE ON movements
FOR EACH ROW EXECUTE FUNCTION movements_append_only();
