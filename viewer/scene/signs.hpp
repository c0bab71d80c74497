// The signs of classes, marks, needs and channel states, drawn from their radius. LOOK, "Signs": round is the
// file's, square and magenta is what the technician recorded; hollow: copper stays, full: copper gone.
#pragma once

#include "netdb/model/job.hpp"
#include "netdb/rework/assess.hpp"
#include "viewer/scene/scene.hpp"

namespace landfall::scene {

// `under`: the ground below, which shows in the cut-outs.
void draw_class(Canvas& canvas, SignalClass c, P at, double radius, Colour hue, Colour under);
// With its figure from half size 6 up. Not for `sound`, whose sign is a corner beside the ball.
void draw_mark(Canvas& canvas, MarkKind kind, P at, double half, Colour mark, Colour under);
void draw_sound_corner(Canvas& canvas, P ball, double radius, Colour mark);
void draw_need(Canvas& canvas, rework::Need need, P at, double radius, Colour ink);
// A tank of three cells, so wide and twice as high.
void draw_state(Canvas& canvas, rework::State state, P at, double width, const Theme& theme);

}  // namespace landfall::scene
