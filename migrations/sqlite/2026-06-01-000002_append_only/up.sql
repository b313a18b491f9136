-- The ledger only grows: a correction is another movement.
-- Triggers are the one thing that the two dialects write differently.

CREATE TRIGGER movements_never_change BEFORE UPDATE ON movements
BEGIN
    SELECT RAISE(ABORT, 'movements are append-only');
END;

CREATE TRIGGER movements_never_vanish BEFORE DELETE ON movements
BEGIN
    SELECT RAISE(ABORT, 'movements are append-only');
END;
