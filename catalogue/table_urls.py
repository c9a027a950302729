"""Addresses of size tables, and of a sheet's files."""

from django.urls import path

from catalogue.views import coverage, sheet_files, size_tables

TABLES = "studio/size-tables"
TABLE = f"{TABLES}/<slug:key>"
USE = f"{TABLE}/use/<slug:slug>"
PATTERN = "desk/<slug:slug>"

urlpatterns = [
    path(f"{TABLES}/", size_tables.size_tables, name="size_tables"),
    path(f"{TABLES}-new/", size_tables.size_table_new, name="size_table_new"),
    path(f"{TABLES}-new/check/", size_tables.size_table_new_check, name="size_table_new_check"),
    path(f"{TABLES}-new/store/", size_tables.size_table_new_store, name="size_table_new_store"),
    path(f"{TABLE}/", size_tables.size_table, name="size_table"),
    path(f"{TABLE}/file/", size_tables.size_table_file, name="size_table_file"),
    path(f"{TABLE}/change/", size_tables.size_table_change, name="size_table_change"),
    path(f"{TABLE}/change/check/", size_tables.size_table_check, name="size_table_check"),
    path(f"{TABLE}/change/store/", size_tables.size_table_store, name="size_table_store"),
    path(f"{TABLE}/delete/", size_tables.size_table_delete, name="size_table_delete"),
    path(f"{TABLE}/coverage/", coverage.coverage, name="coverage"),
    path(f"{USE}/", size_tables.table_use, name="table_use"),
    path(f"{USE}/check/", size_tables.table_use_check, name="table_use_check"),
    path(f"{USE}/store/", size_tables.table_use_store, name="table_use_store"),
    path(f"{PATTERN}/workbook/<slug:kind>/", sheet_files.sheet_file, name="sheet_file"),
    path(f"{PATTERN}/lists/", sheet_files.value_lists, name="value_lists"),
    path(f"{PATTERN}/lists/check/", sheet_files.value_lists_check, name="value_lists_check"),
    path(f"{PATTERN}/lists/store/", sheet_files.value_lists_store, name="value_lists_store"),
]
