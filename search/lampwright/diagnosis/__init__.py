"""Why a search found nothing, what comes near, and what would help."""
