CREATE TRIGGER content_is_never_changed BEFORE UPDATE ON content
BEGIN SELECT RAISE (ABORT, 'a stored file is never changed'); END;
