"""Root-cause traceability: from warranty claims to what the affected hulls share upstream."""
