DROP TRIGGER decisions_never_change ON decisions;
DROP TRIGGER sign_offs_never_change ON sign_offs;
