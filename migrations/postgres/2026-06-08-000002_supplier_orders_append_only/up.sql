-- What happened to an order only grows, and an order never vanishes.
-- Triggers are the one thing that the two dialects write differently.

CREATE TRIGGER supplier_order_events_never_change BEFORE UPDATE OR DELETE ON supplier_order_events
FOR EACH ROW EXECUTE FUNCTION append_only();

CREATE TRIGGER supplier_orders_never_vanish BEFORE DELETE ON supplier_orders
FOR EACH ROW EXECUTE FUNCTION append_only();
