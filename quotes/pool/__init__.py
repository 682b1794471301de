"""Global accounting: cheap second-hand goods whose margin is pooled by tax period."""
