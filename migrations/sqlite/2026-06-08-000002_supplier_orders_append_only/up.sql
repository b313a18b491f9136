-- What happened to an order only grows, and an order never vanishes.
-- Triggers are the one thing that the two dialects write differently.

CREATE TRIGGER supplier_order_events_never_change BEFORE UPDATE ON supplier_order_events
BEGIN
    SELECT RAISE(ABORT, 'supplier_order_events are append-only');
END;

CREATE TRIGGER supplier_order_events_never_vanish BEFORE DELETE ON supplier_order_events
BEGIN
    SELECT RAISE(ABORT, 'supplier_order_events are append-only');
END;

CREATE TRIGGER supplier_orders_never_vanish BEFORE DELETE ON supplier_orders
BEGIN
    SELECT RAISE(ABORT, 'supplier_orders are never deleted');
END;
