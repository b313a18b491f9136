-- Splits every table of a Weighhouse database by shop, in one transaction: the rows of each
-- shop in partitions of their own, those of shops to come in the default ones.
--
--   psql "$DATABASE_URL" -v ON_ERROR_STOP=1 -f deploy/partition-by-site.sql
--
-- Stop the servers first, and make a backup. Every key and index begins with `site`, so each
-- of them can stay as it is; that is all this file relies on. A further shop gets partitions
-- with `SELECT partition_shop('harbour')`, before its first row is written.
BEGIN;

-- Gives a shop its own partition of every table that is split.
CREATE FUNCTION partition_shop(shop text) RETURNS void LANGUAGE plpgsql AS $$
DECLARE split regclass;
BEGIN
    FOR split IN
        SELECT partrelid::regclass FROM pg_partitioned_table ORDER BY partrelid::regclass::text
    LOOP
        EXECUTE format('CREATE TABLE %I PARTITION OF %s FOR VALUES IN (%L)',
            split::text || '_' || replace(shop, '-', '_'), split, shop);
    END LOOP;
END $$;

DO $$
DECLARE
    thing record;
    statements text[] := '{}';
    shops text[];
    shop text;
BEGIN
    SELECT coalesce(array_agg(site ORDER BY site), '{}') INTO shops FROM sites;
    -- What stands on the tables is written down first, to be put on the split ones last:
    -- keys and other indexes, then references, then triggers.
    FOR thing IN
        SELECT 1 AS rank, conrelid::regclass AS of, format('ALTER TABLE %s ADD CONSTRAINT %I %s',
            conrelid::regclass, conname, pg_get_constraintdef(oid)) AS statement
        FROM pg_constraint WHERE contype = 'p' AND connamespace = 'public'::regnamespace
        UNION ALL
        SELECT 2, indrelid::regclass, pg_get_indexdef(indexrelid)
        FROM pg_index JOIN pg_class ON pg_class.oid = indrelid
        WHERE NOT indisprimary AND relnamespace = 'public'::regnamespace
        UNION ALL
        SELECT 3, conrelid::regclass, format('ALTER TABLE %s ADD CONSTRAINT %I %s',
            conrelid::regclass, conname, pg_get_constraintdef(oid))
        FROM pg_constraint WHERE contype = 'f' AND connamespace = 'public'::regnamespace
        UNION ALL
        SELECT 4, tgrelid::regclass, pg_get_triggerdef(pg_trigger.oid)
        FROM pg_trigger JOIN pg_class ON pg_class.oid = tgrelid
        WHERE NOT tgisinternal AND relnamespace = 'public'::regnamespace
        ORDER BY rank
    LOOP
        IF EXISTS (SELECT FROM pg_attribute WHERE attrelid = thing.of AND attname = 'site') THEN
            statements := statements || thing.statement;
        END IF;
    END LOOP;
    FOR thing IN
        SELECT conrelid::regclass AS of, conname FROM pg_constraint
        WHERE contype = 'f' AND connamespace = 'public'::regnamespace
    LOOP
        EXECUTE format('ALTER TABLE %s DROP CONSTRAINT %I', thing.of, thing.conname);
    END LOOP;
    CREATE SCHEMA whole;
    FOR thing IN
        SELECT relname FROM pg_class
        JOIN pg_attribute ON attrelid = pg_class.oid AND attname = 'site'
        WHERE relkind = 'r' AND relnamespace = 'public'::regnamespace ORDER BY relname
    LOOP
        EXECUTE format('ALTER TABLE public.%I SET SCHEMA whole', thing.relname);
        EXECUTE format('CREATE TABLE public.%1$I (LIKE whole.%1$I INCLUDING DEFAULTS '
            'INCLUDING CONSTRAINTS) PARTITION BY LIST (site)', thing.relname);
        EXECUTE format('CREATE TABLE public.%I PARTITION OF public.%I DEFAULT',
            thing.relname || '_rest', thing.relname);
    END LOOP;
    FOREACH shop IN ARRAY shops LOOP
        PERFORM partition_shop(shop);
    END LOOP;
    FOR thing IN
        SELECT relname FROM pg_class
        WHERE relkind = 'r' AND relnamespace = 'whole'::regnamespace ORDER BY relname
    LOOP
        EXECUTE format('INSERT INTO public.%1$I SELECT * FROM whole.%1$I', thing.relname);
    END LOOP;
    DROP SCHEMA whole CASCADE;
    FOR i IN 1 .. coalesce(array_length(statements, 1), 0) LOOP
        EXECUTE statements[i];
    END LOOP;
END $$;

COMMIT;
