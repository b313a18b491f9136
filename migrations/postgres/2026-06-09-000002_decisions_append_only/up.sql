-- What was decided and signed for only grows.

CREATE TRIGGER decisions_never_change BEFORE UPDATE OR DELETE ON decisions
FOR EACH ROW EXECUTE FUNCTION append_only();

CREATE TRIGGER sign_offs_never_change BEFORE UPDATE OR DELETE ON sign_offs
FOR EACH ROW EXECUTE FUNCTION append_only();
