-- The ledger: facts, the hashes of their Merkle tree, and its signed heads.
-- Rows are only ever added. idx counts from 0 without gaps.

CREATE TABLE entry (
    idx         INTEGER PRIMARY KEY CHECK (idx >= 0),
    kind        TEXT    NOT NULL,
    id          TEXT    NOT NULL,
    rev         INTEGER NOT NULL CHECK (rev >= 1),
    recorded_at INTEGER NOT NULL, -- minutes since 1970-01-01T00:00Z, as in bytes
    bytes       BLOB    NOT NULL CHECK (length(bytes) BETWEEN 1 AND 65535),
    UNIQUE (kind, id, rev)
) STRICT;

-- Stored hashes of the tree in the order of golang.org/x/mod/sumdb/tlog.
CREATE TABLE tlog_hash (
    idx  INTEGER PRIMARY KEY CHECK (idx >= 0),
    hash BLOB    NOT NULL CHECK (length(hash) = 32)
) STRICT;

-- One signed head a commit.
CREATE TABLE checkpoint (
    size INTEGER PRIMARY KEY CHECK (size >= 1),
    root BLOB    NOT NULL CHECK (length(root) = 32),
    note TEXT    NOT NULL
) STRICT;

-- INSERT OR REPLACE slips past UPDATE and DELETE triggers, so inserts are
-- guarded too: only the next index is taken.
CREATE TRIGGER entry_next BEFORE INSERT ON entry
WHEN NEW.idx IS NOT (SELECT coalesce(max(idx) + 1, 0) FROM entry)
BEGIN SELECT raise(ABORT, 'the ledger takes only the next entry'); END;
CREATE TRIGGER entry_kept_update BEFORE UPDATE ON entry
BEGIN SELECT raise(ABORT, 'the ledger is never changed'); END;
CREATE TRIGGER entry_kept_delete BEFORE DELETE ON entry
BEGIN SELECT raise(ABORT, 'the ledger is never changed'); END;
CREATE TRIGGER entry_time BEFORE INSERT ON entry
WHEN NEW.recorded_at < (SELECT recorded_at FROM entry ORDER BY idx DESC LIMIT 1)
BEGIN SELECT raise(ABORT, 'the ledger is never written backwards in time'); END;

CREATE TRIGGER tlog_hash_next BEFORE INSERT ON tlog_hash
WHEN NEW.idx IS NOT (SELECT coalesce(max(idx) + 1, 0) FROM tlog_hash)
BEGIN SELECT raise(ABORT, 'the ledger takes only the next hash'); END;
CREATE TRIGGER tlog_hash_kept_update BEFORE UPDATE ON tlog_hash
BEGIN SELECT raise(ABORT, 'the ledger is never changed'); END;
CREATE TRIGGER tlog_hash_kept_delete BEFORE DELETE ON tlog_hash
BEGIN SELECT raise(ABORT, 'the ledger is never changed'); END;

CREATE TRIGGER checkpoint_next BEFORE INSERT ON checkpoint
WHEN NEW.size <= (SELECT max(size) FROM checkpoint)
  OR NEW.size IS NOT (SELECT max(idx) + 1 FROM entry)
BEGIN SELECT raise(ABORT, 'a checkpoint is signed once, for the whole ledger'); END;
CREATE TRIGGER checkpoint_kept_update BEFORE UPDATE ON checkpoint
BEGIN SELECT raise(ABORT, 'the ledger is never changed'); END;
CREATE TRIGGER checkpoint_kept_delete BEFORE DELETE ON checkpoint
BEGIN SELECT raise(ABORT, 'the ledger is never changed'); END;
