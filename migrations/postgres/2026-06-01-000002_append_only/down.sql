DROP TRIGGER movements_never_change ON movements;
DROP FUNCTION movements_append_only();
