"""Spreadsheet workbooks (.xlsx): written for people, read safely."""
