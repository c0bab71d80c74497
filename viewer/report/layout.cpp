// Blocks on pages.
#include "viewer/report/layout.hpp"

#include <algorithm>

#include <fmt/format.h>

#include "viewer/report/faces.hpp"
#include "viewer/report/table_style.hpp"

namespace landfall::report {
namespace {

using scene::Align;
using scene::P;
using scene::Typeface;

constexpr double kPointsPerMm = 72 / 25.4;
constexpr double kPointsPerPixel = 0.75;
constexpr double kLeading = 1.28;
constexpr double kCellPad = 2.6;
constexpr double kWriteRow = 20;
constexpr double kFormRow = 27;
constexpr scene::Colour kInk = scene::colour("#000000");
constexpr scene::Colour kGrey = scene::colour("#3C464B");
constexpr scene::Colour kHair = scene::colour("#858E93");

struct Style {
  double size = 9.6;
  Typeface face = Typeface::kPlain;
  double before = 3;
  double after = 2;
};
constexpr Style kTitle{20, Typeface::kBold, 0, 4};
constexpr Style kHead{11.5, Typeface::kBold, 12, 3};
constexpr Style kPlain{};
constexpr Style kLead{13, Typeface::kBold, 5, 5};
constexpr Style kCautionStyle{9.4, Typeface::kBold, 0, 0};

struct Row {
  std::vector<std::vector<std::string>> cells;  // lines
  double height = 0;
};

class Flow {
 public:
  explicit Flow(const Document& document)
      : page_(page_points(document.paper)),
        left_(kSideMarginMm * kPointsPerMm),
        width_(page_.width - 2 * left_),
        top_(kTopMarginMm * kPointsPerMm),
        bottom_(page_.height - kBottomMarginMm * kPointsPerMm) {}

  void sheet(const Sheet& sheet) {
    new_page();
    lines(sheet.title, kTitle, 0);
    for (std::size_t i = 0; i < sheet.blocks.size(); ++i) {
      const Block* next = i + 1 < sheet.blocks.size() ? &sheet.blocks[i + 1] : nullptr;
      block(sheet.blocks[i], next);
    }
  }

  std::vector<Page> finish(const std::string& foot) {
    if (pages_.empty()) new_page();
    for (std::size_t i = 0; i < pages_.size(); ++i) {
      scene::Canvas canvas(1);
      const double y = bottom_ + 22;
      canvas.line({left_, y - 9}, {left_ + width_, y - 9}, 0.5, kHair);
      const std::string number = fmt::format("{} of {}", i + 1, pages_.size());
      const double room = width_ - width_of(number, 8.5, Typeface::kBold) - 14;
      const auto fits = wrapped(foot, room, 8, Typeface::kPlain);
      canvas.label({left_, y}, fits.size() > 1 ? fits[0] + " \u2026" : fits[0], 8, Typeface::kPlain,
                   Align::kLeft, kGrey);
      canvas.label({left_ + width_, y}, number, 8.5, Typeface::kBold, Align::kRight, kInk);
      add(pages_[i], canvas);
    }
    return std::move(pages_);
  }

 private:
  static void add(Page& page, scene::Canvas& canvas) {
    for (scene::Shape& shape : canvas.shapes()) page.shapes.push_back(std::move(shape));
  }
  void add(scene::Canvas& canvas) { add(pages_.back(), canvas); }

  void new_page() {
    pages_.emplace_back();
    y_ = top_;
  }
  [[nodiscard]] bool at_top() const { return y_ <= top_; }
  // A new page unless so much still fits on this one.
  void room_for(double height) {
    if (!at_top() && y_ + height > bottom_) new_page();
  }

  // `keep`: what must follow on the same page.
  void lines(const std::string& text, const Style& style, double keep) {
    const auto broken = wrapped(text, width_, style.size, style.face);
    const double step = style.size * kLeading;
    // Two lines at least stay together at the foot.
    const double together = static_cast<double>(std::min<std::size_t>(broken.size(), 2)) * step;
    room_for(style.before + together + (keep > 0 ? style.after + keep : 0));
    if (!at_top()) y_ += style.before;
    for (const std::string& line : broken) {
      room_for(step);
      scene::Canvas canvas(1);
      canvas.label({left_, y_ + step / 2}, line, style.size, style.face, Align::kLeft, kInk);
      add(canvas);
      y_ += step;
    }
    y_ += style.after;
  }

  void block(const Block& block, const Block* next) {
    if (block.kind != BlockKind::kCaution && in_cautions_) y_ += 5;
    const bool first_caution = block.kind == BlockKind::kCaution && !in_cautions_;
    in_cautions_ = block.kind == BlockKind::kCaution;
    switch (block.kind) {
      case BlockKind::kHeading:
        return lines(block.text, kHead, next == nullptr ? 0 : least_height(*next));
      case BlockKind::kText:
        return lines(block.text, kPlain, 0);
      case BlockKind::kLead:
        return lines(block.text, kLead, 0);
      case BlockKind::kCaution:
        return caution(block.text, first_caution);
      case BlockKind::kForm:
        return form(block.fields);
      case BlockKind::kTable:
        return table(block.table);
      case BlockKind::kPicture:
        return picture(block);
    }
  }

  // What a heading before it needs to see of it.
  double least_height(const Block& block) const {
    switch (block.kind) {
      case BlockKind::kPicture:
        return picture_scale(block) * block.picture.height + 8;
      case BlockKind::kTable:
        return 60;
      case BlockKind::kForm:
        return kFormRow;
      default:
        return 2 * kPlain.size * kLeading;
    }
  }

  void caution(const std::string& text, bool first) {
    const double indent = 22;
    const auto broken = wrapped(text, width_ - indent - 8, kCautionStyle.size, kCautionStyle.face);
    const double step = kCautionStyle.size * kLeading;
    const double height = static_cast<double>(broken.size()) * step + 7;
    if (first && !at_top()) y_ += 4;
    room_for(height);
    scene::Canvas canvas(1);
    const double right = left_ + width_;
    canvas.path(
        {{left_, y_}, {right, y_}, {right, y_ + height}, {left_, y_ + height}, {left_, y_}, {right, y_}}, 1.1,
        kInk);
    const double x = left_ + 11;
    const double middle = y_ + 3.5 + step / 2;
    canvas.path({{x, middle - 5},
                 {x + 5.5, middle + 4.4},
                 {x - 5.5, middle + 4.4},
                 {x, middle - 5},
                 {x + 5.5, middle + 4.4}},
                1.1, kInk);
    canvas.line({x, middle - 2}, {x, middle + 1.4}, 1.1, kInk);
    canvas.line({x, middle + 2.2}, {x, middle + 3.2}, 1.1, kInk);
    for (std::size_t i = 0; i < broken.size(); ++i) {
      canvas.label({left_ + indent, middle + static_cast<double>(i) * step}, broken[i], kCautionStyle.size,
                   kCautionStyle.face, Align::kLeft, kInk);
    }
    add(canvas);
    y_ += height;
  }

  void form(const std::vector<std::string>& fields) {
    const double column = (width_ - 24) / 2;
    y_ += 6;
    for (std::size_t i = 0; i < fields.size(); i += 2) {
      room_for(kFormRow);
      scene::Canvas canvas(1);
      for (std::size_t k = 0; k < 2 && i + k < fields.size(); ++k) {
        const double x = left_ + static_cast<double>(k) * (column + 24);
        canvas.label({x, y_ + kFormRow - 7}, fields[i + k], 9, Typeface::kPlain, Align::kLeft, kInk);
        canvas.line({x, y_ + kFormRow - 1}, {x + column, y_ + kFormRow - 1}, 0.7, kInk);
      }
      add(canvas);
      y_ += kFormRow;
    }
    y_ += 6;
  }

  [[nodiscard]] double picture_scale(const Block& block) const {
    if (block.true_size) return kPointsPerPixel;
    return std::min(
        {kPointsPerPixel, width_ / block.picture.width, (bottom_ - top_ - 8) / block.picture.height});
  }

  void picture(const Block& block) {
    double scale = picture_scale(block);
    // Somewhat smaller rather than on the next page.
    constexpr double kLeastShare = 0.75;
    const double fits = (bottom_ - y_ - 8) / block.picture.height;
    if (!block.true_size && fits < scale && fits >= scale * kLeastShare) scale = fits;
    const double height = block.picture.height * scale;
    room_for(height + 8);
    const P corner{left_ + (width_ - block.picture.width * scale) / 2, y_ + 4};
    if (const auto& photo = block.picture.under)
      pages_.back().photos.push_back({photo, corner, block.picture.width * scale / photo->width});
    for (scene::Shape shape : block.picture.shapes) {
      shape.at = shape.at * scale + corner;
      for (P& point : shape.points) point = point * scale + corner;
      shape.radius *= scale;
      shape.width *= scale;
      shape.size *= scale;
      pages_.back().shapes.push_back(std::move(shape));
    }
    y_ += height + 8;
  }

  static Row row_of(const Table& table, const std::vector<Cell>& cells, const std::vector<double>& widths) {
    Row row;
    for (std::size_t c = 0; c < cells.size(); ++c) {
      const Holds holds = table.columns[c].holds;
      row.cells.push_back(wrapped(cells[c].text, widths[c] + 0.01, size_of(holds), face_of(holds)));
      double high = static_cast<double>(row.cells.back().size()) * kTableSize * kLeading + 2 * kCellPad;
      if (holds == Holds::kWrite) high = std::max(high, kWriteRow);
      if (holds == Holds::kTick) high = std::max(high, kTickBox + 4);
      row.height = std::max(row.height, high);
    }
    return row;
  }

  static Row head_of(const Table& table, const std::vector<double>& widths) {
    Row row;
    std::size_t most = 1;
    for (std::size_t c = 0; c < table.columns.size(); ++c) {
      row.cells.push_back(wrapped(table.columns[c].head, widths[c] + 0.01, kTableSize, kHeadFace));
      most = std::max(most, row.cells.back().size());
    }
    row.height = static_cast<double>(most) * kTableSize * kLeading + 2 * kCellPad;
    return row;
  }

  void draw_head(const Table& table, const Row& head, const std::vector<double>& widths) {
    scene::Canvas canvas(1);
    double x = left_;
    for (std::size_t c = 0; c < head.cells.size(); ++c) {
      // Heads stand on the line below them.
      const double start =
          y_ + head.height - kCellPad - static_cast<double>(head.cells[c].size()) * kTableSize * kLeading;
      for (std::size_t i = 0; i < head.cells[c].size(); ++i)
        cell_line(canvas, table.columns[c].holds, x, widths[c],
                  start + static_cast<double>(i) * kTableSize * kLeading, head.cells[c][i], kTableSize,
                  kHeadFace);
      x += widths[c] + kColumnGap;
    }
    canvas.line({left_, y_ + head.height}, {x - kColumnGap, y_ + head.height}, 1.1, kInk);
    add(canvas);
    y_ += head.height;
  }

  static void cell_line(scene::Canvas& canvas, Holds holds, double x, double width, double y,
                        const std::string& line, double size, Typeface face) {
    const double middle = y + kTableSize * kLeading / 2;
    if (holds == Holds::kFigure) {
      canvas.label({x + width, middle}, line, size, face, Align::kRight, kInk);
    } else if (holds == Holds::kTick) {
      canvas.label({x + width / 2, middle}, line, size, face, Align::kMiddle, kInk);
    } else {
      canvas.label({x, middle}, line, size, face, Align::kLeft, kInk);
    }
  }

  // Lines `from` to before `to` of each cell.
  void draw_row(const Table& table, const Row& row, const std::vector<double>& widths, std::size_t from,
                std::size_t to, double height) {
    scene::Canvas canvas(1);
    double x = left_;
    for (std::size_t c = 0; c < row.cells.size(); ++c) {
      const Holds holds = table.columns[c].holds;
      const bool tick = holds == Holds::kTick;
      for (std::size_t i = from; !tick && i < std::min(to, row.cells[c].size()); ++i) {
        cell_line(canvas, holds, x, widths[c],
                  y_ + kCellPad + static_cast<double>(i - from) * kTableSize * kLeading, row.cells[c][i],
                  size_of(holds), face_of(holds));
      }
      if (tick && from == 0) {
        const double side = kTickBox;
        const double left = x + (widths[c] - side) / 2;
        const double top = y_ + 2.2;
        canvas.path({{left, top},
                     {left + side, top},
                     {left + side, top + side},
                     {left, top + side},
                     {left, top},
                     {left + side, top}},
                    0.9, kInk);
        if (!row.cells[c].empty() && !row.cells[c].front().empty()) {
          canvas.path(
              {{left + 2.2, top + side * 0.5}, {left + 4.6, top + side - 2.6}, {left + side - 2, top + 2.4}},
              1.4, kInk);
        }
      }
      x += widths[c] + kColumnGap;
    }
    canvas.line({left_, y_ + height}, {x - kColumnGap, y_ + height}, 0.4, kHair);
    add(canvas);
    y_ += height;
  }

  // A row that is longer than a page, piece by piece.
  void long_row(const Table& table, const Row& row, const std::vector<double>& widths, const Row& head) {
    std::size_t most = 1;
    for (const auto& cell : row.cells) most = std::max(most, cell.size());
    for (std::size_t from = 0; from < most;) {
      const double space = bottom_ - y_ - 2 * kCellPad;
      const auto fit = static_cast<std::size_t>(std::max(1.0, space / (kTableSize * kLeading)));
      const std::size_t to = std::min(most, from + fit);
      draw_row(table, row, widths, from, to,
               static_cast<double>(to - from) * kTableSize * kLeading + 2 * kCellPad);
      from = to;
      if (from >= most) return;
      new_page();
      draw_head(table, head, widths);
    }
  }

  void table(const Table& table) {
    if (table.rows.empty()) {
      lines(table.title, kHead, 2 * kPlain.size * kLeading);
      return lines(table.none, kPlain, 0);
    }
    const auto widths = column_widths(table, width_);
    const Row head = head_of(table, widths);
    Row row = row_of(table, table.rows[0], widths);
    const double page = bottom_ - top_ - head.height;
    lines(table.title, kHead, head.height + std::min(row.height, page / 2));
    draw_head(table, head, widths);
    for (std::size_t i = 0; i < table.rows.size(); ++i) {
      if (i > 0) row = row_of(table, table.rows[i], widths);
      if (row.height > page) {
        long_row(table, row, widths, head);
        continue;
      }
      if (y_ + row.height > bottom_) {
        new_page();
        draw_head(table, head, widths);
      }
      draw_row(table, row, widths, 0, static_cast<std::size_t>(-1), row.height);
    }
    y_ += 4;
  }

  PageSize page_;
  double left_, width_, top_, bottom_;
  double y_ = 0;
  bool in_cautions_ = false;
  std::vector<Page> pages_;
};

}  // namespace

PageSize page_points(Paper paper) {
  const PaperSize size = size_of(paper);
  return {size.width * kPointsPerMm, size.height * kPointsPerMm};
}

std::vector<Page> lay_out(const Document& document) {
  Flow flow(document);
  for (const Sheet& sheet : document.sheets) flow.sheet(sheet);
  return flow.finish(footer_text(document));
}

}  // namespace landfall::report
