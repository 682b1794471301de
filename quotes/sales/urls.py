"""Addresses of this room."""

from __future__ import annotations

from django.urls import path

from quotes.sales.views import books, dealing, putting_right

app_name = "sales"
urlpatterns = [
    path("", dealing.stock_list, name="list"),
    path("stock-book/", books.stock_book, name="book"),
    path("stock-book/stock-book.pdf", books.stock_book_pdf, name="book_pdf"),
    path("learned/", books.learned, name="learned"),
    path("bikes/<int:bike_id>/buy/", dealing.buy_page, name="buy"),
    path("invoices/<str:number>/invoice.pdf", dealing.invoice, name="invoice"),
    path("invoices/<str:number>/take-back/", dealing.return_page, name="take_back"),
    path("invoices/<str:number>/pay-part-back/", putting_right.reduce_page, name="reduce"),
    path("credit-notes/<str:number>/credit-note.pdf", dealing.credit_note, name="credit_note"),
    path("stock/<str:number>/", dealing.row, name="row"),
    path("stock/<str:number>/sell/", dealing.sell_page, name="sell"),
    path("stock/<str:number>/reverse/", putting_right.reverse_page, name="reverse"),
    path("stock/<str:number>/receipt.pdf", dealing.receipt, name="receipt"),
]
