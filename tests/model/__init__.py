"""Tests of the models that have methods of their own."""
