-- What was decided and signed for only grows.

CREATE TRIGGER decisions_never_change BEFORE UPDATE ON decisions
BEGIN
    SELECT RAISE(ABORT, 'decisions are append-only');
END;

CREATE TRIGGER decisions_never_vanish BEFORE DELETE ON decisions
BEGIN
    SELECT RAISE(ABORT, 'decisions are append-only');
END;

CREATE TRIGGER sign_offs_never_change BEFORE UPDATE ON sign_offs
BEGIN
    SELECT RAISE(ABORT, 'sign_offs are append-only');
END;

CREATE TRIGGER sign_offs_never_vanish BEFORE DELETE ON sign_offs
BEGIN
    SELECT RAISE(ABORT, 'sign_offs are append-only');
END;
