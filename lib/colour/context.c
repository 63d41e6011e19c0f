/*
 * lcms2 in a context of its own: memory from our allocator and under a limit, since a profile of a
 * few bytes may ask for tables of gigabytes; errors into our struct, not to a handler of the whole
 * process. The context's own small record is the one block lcms2 takes from malloc.
 */
#include "colour/lcms.h"

#include <lcms2_plugin.h>
#include <stdio.h>
#include <string.h>

/* Each block is preceded by its size, for the limit and for resizing. */
typedef union block_head {
    size_t size;
    max_align_t aligned;
} block_head;

/* lcms2 does not look at every small block it asks for before it writes there. So those that the
 * allocator refuses come out of a reserve taken beforehand, and the whole answer is thrown away. */
enum { RESERVE = 512 << 10, SMALL = 8 << 10 };

static block_head *from_reserve(tw_cms *cms, size_t size) {
    size_t whole = (sizeof(block_head) + size + sizeof(block_head) - 1) / sizeof(block_head) *
                   sizeof(block_head);
    if (size > SMALL || whole > RESERVE - cms->reserve_used)
        return NULL;
    block_head *head = (block_head *)(void *)(cms->reserve + cms->reserve_used);
    cms->reserve_used += whole;
    return head;
}

static bool is_reserve(const tw_cms *cms, const block_head *head) {
    const unsigned char *at = (const unsigned char *)head;
    return at >= cms->reserve && at < cms->reserve + RESERVE;
}

static void *take(cmsContext context, cmsUInt32Number size) {
    tw_cms *cms = cmsGetContextUserData(context);
    if (cms == NULL || size > TW_CMS_MEMORY_MOST - cms->held)
        return NULL;
    block_head *head =
        cms->out_of_memory ? NULL : tw_block_new(cms->allocator, sizeof *head + size);
    if (head == NULL) {
        cms->out_of_memory = true;
        head = from_reserve(cms, size);
    }
    if (head == NULL)
        return NULL;
    head->size = size;
    cms->held += size;
    return head + 1;
}

static void give_back(cmsContext context, void *block) {
    tw_cms *cms = cmsGetContextUserData(context);
    if (block == NULL || cms == NULL)
        return;
    block_head *head = (block_head *)block - 1;
    cms->held -= head->size;
    if (!is_reserve(cms, head))
        tw_block_free(cms->allocator, head);
}

static void *resize(cmsContext context, void *block, cmsUInt32Number size) {
    void *larger = take(context, size);
    if (larger == NULL || block == NULL)
        return larger;
    size_t old = ((block_head *)block - 1)->size;
    memcpy(larger, block, old < size ? old : size);
    give_back(context, block);
    return larger;
}

static void note(cmsContext context, cmsUInt32Number code, const char *text) {
    tw_cms *cms = cmsGetContextUserData(context);
    (void)code;
    if (cms != NULL && cms->complaint[0] == '\0')
        snprintf(cms->complaint, sizeof cms->complaint, "%s", text);
}

/* lcms2 asks whether a transform is to be computed another way, and is told no: but its steps have
 * been seen, and nothing is to be optimised. It asks only where that was not said at first; it may
 * ask of others, too, that it makes on the way. */
static cmsBool see_steps(_cmsTransform2Fn *run, void **data, _cmsFreeUserDataFn *free_data,
                         cmsPipeline **pipeline, cmsUInt32Number *in, cmsUInt32Number *out,
                         cmsUInt32Number *flags) {
    tw_cms *cms = cmsGetContextUserData(cmsGetPipelineContextID(*pipeline));
    (void)run;
    (void)data;
    (void)free_data;
    *flags |= cmsFLAGS_NOOPTIMIZE;
    if (cms == NULL || *in != cms->format_in || *out != cms->format_out)
        return FALSE;
    cms->seen = true;
    tw_fast_free(cms->fast);
    if (!tw_fast_new(cms->allocator, *pipeline, cms->bits_in, cms->lab_out, &cms->fast))
        cms->out_of_memory = true;
    return FALSE;
}

bool tw_cms_start(tw_cms *cms, const tw_allocator *allocator) {
    cmsPluginMemHandler memory = {.base = {.Magic = cmsPluginMagicNumber,
                                           .ExpectedVersion = 2060,
                                           .Type = cmsPluginMemHandlerSig},
                                  .MallocPtr = take,
                                  .FreePtr = give_back,
                                  .ReallocPtr = resize};
    cmsPluginTransform steps = {.base = {.Magic = cmsPluginMagicNumber,
                                         .ExpectedVersion = 2080,
                                         .Type = cmsPluginTransformSig},
                                .factories = {.xform = see_steps}};
    memory.base.Next = &steps.base;
    *cms = (tw_cms){.allocator = allocator, .reserve = tw_block_new(allocator, RESERVE)};
    if (cms->reserve == NULL)
        return false;
    cms->context = cmsCreateContext(&memory, cms);
    if (cms->context == NULL || cms->out_of_memory)
        return false;
    cmsSetLogErrorHandlerTHR(cms->context, note);
    return true;
}

void tw_cms_end(tw_cms *cms) {
    tw_fast_free(cms->fast);
    cms->fast = NULL;
    if (cms->context != NULL)
        cmsDeleteContext(cms->context);
    tw_block_free(cms->allocator, cms->reserve);
    cms->context = NULL;
    cms->reserve = NULL;
}

cmsHPROFILE tw_cms_profile(tw_cms *cms, tw_icc icc) {
    if (icc.bytes == NULL)
        return cmsCreateLab4ProfileTHR(cms->context, NULL);
    return cmsOpenProfileFromMemTHR(cms->context, icc.bytes, (cmsUInt32Number)icc.length);
}

tw_code tw_cms_fail(const tw_cms *cms, const char *called, tw_error *error) {
    if (cms->out_of_memory || cms->context == NULL)
        return tw_no_memory(error);
    return tw_fail(error, TW_INPUT, "profile-damaged", "%s cannot be used: %s", called,
                   cms->complaint[0] != '\0' ? cms->complaint : "its tables are damaged");
}
