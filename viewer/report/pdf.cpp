// PDF by cairo.
#include <memory>

#include <cairo-pdf.h>
#include <cairo.h>
#include <fmt/format.h>

#include "viewer/report/layout.hpp"
#include "viewer/report/paint.hpp"
#include "viewer/report/writers.hpp"

namespace landfall::report {
namespace {

cairo_status_t append(void* bytes, const unsigned char* data, unsigned length) {
  static_cast<std::string*>(bytes)->append(data, data + length);
  return CAIRO_STATUS_SUCCESS;
}

struct Drop {
  void operator()(cairo_surface_t* surface) const { cairo_surface_destroy(surface); }
  void operator()(cairo_t* context) const { cairo_destroy(context); }
};

}  // namespace

Result<Pdf> pdf(const Document& document) {
  const std::vector<Page> pages = lay_out(document);
  const PageSize size = page_points(document.paper);
  Pdf made;
  made.pages = static_cast<int>(pages.size());
  const std::unique_ptr<cairo_surface_t, Drop> surface(
      cairo_pdf_surface_create_for_stream(append, &made.bytes, size.width, size.height));
  const std::string title = scene::clean_text(footer_text(document));
  cairo_pdf_surface_set_metadata(surface.get(), CAIRO_PDF_METADATA_TITLE, title.c_str());
  cairo_pdf_surface_set_metadata(surface.get(), CAIRO_PDF_METADATA_CREATOR, "Landfall " LANDFALL_VERSION);
  // The document's own date, so that the same input gives the same bytes.
  if (!document.date.empty())
    cairo_pdf_surface_set_metadata(surface.get(), CAIRO_PDF_METADATA_CREATE_DATE, document.date.c_str());
  {
    const std::unique_ptr<cairo_t, Drop> cr(cairo_create(surface.get()));
    cairo_set_line_join(cr.get(), CAIRO_LINE_JOIN_MITER);
    for (const Page& page : pages) {
      for (const PlacedPhoto& placed : page.photos)
        paint_photo(cr.get(), *placed.photo, placed.corner, placed.scale, true);
      for (const scene::Shape& shape : page.shapes) paint_shape(cr.get(), shape);
      cairo_show_page(cr.get());
    }
    if (const auto status = cairo_status(cr.get()); status != CAIRO_STATUS_SUCCESS)
      return Error{ErrorCode::kInput, fmt::format("no PDF: {}", cairo_status_to_string(status))};
  }
  cairo_surface_finish(surface.get());
  if (const auto status = cairo_surface_status(surface.get()); status != CAIRO_STATUS_SUCCESS)
    return Error{ErrorCode::kInput, fmt::format("no PDF: {}", cairo_status_to_string(status))};
  return made;
}

}  // namespace landfall::report
