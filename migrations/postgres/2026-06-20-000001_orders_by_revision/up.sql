-- Which orders made the revisions since a plan.

CREATE INDEX order_versions_by_revision ON order_versions (site, plan_revision);
