"""Tests of the screens. A package, so that its conftest has a name of its own for the type checker."""
